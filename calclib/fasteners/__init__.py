"""Nails by NDS 2018 chapter 12: lateral, withdrawal, toe-nails."""
