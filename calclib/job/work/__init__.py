"""The engineering of the work itself: shoring, fitting, lifting, and the lists that go to the site."""
