"""Machines and stocks: what the maker has on her table."""
