"""The farm, and its faults. May import: its own files, after, doubted, goods, site, standing."""
