"""The farm and what is asked of it. May import: its own files, goods, site, standing."""
