"""Boltspan: what mounting hardware each mountain-bike frame needs at each end of its rear shock."""

__version__ = "0.1.0"
