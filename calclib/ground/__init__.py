"""What is below the posts: footings, plain concrete, soil."""
