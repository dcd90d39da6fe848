"""The engineering of the work itself: shoring, fitting, lifting, lists for the site."""
