"""The farm and what is asked of it. May import: its own files, doubted, goods, site, standing."""
