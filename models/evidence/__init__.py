"""Shown beside a plan, decides nothing. May import: answer, arrays, farm, goods, site, standing."""
