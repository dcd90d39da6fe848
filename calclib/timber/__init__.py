"""Provisions of the NDS 2018 for wood members, one module for each subject."""
