"""The calc sheet: its page, its sections, its figures."""
