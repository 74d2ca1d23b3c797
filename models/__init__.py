"""The trade: what a farm's moorings are made of, and the plan that answers them.

Pure data and pure functions over numpy. Nothing here solves, prints or opens a file.

Index letters, the same in every module: g leg group, a anchor, c chain, r rope, k anchors on
one leg, i item, s supplier, f freight service, v vessel.
"""
