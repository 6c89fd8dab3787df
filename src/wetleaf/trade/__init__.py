"""What the trade knows: units, seasons, classes, stages, protocols, cultivars, origins.

Plain values in, small frozen records out. Imports nothing but the standard library. Tables are TOML or CSV
beside the code, a source on every row. Open `stages.py` first: it holds the one list everything else follows.
"""
