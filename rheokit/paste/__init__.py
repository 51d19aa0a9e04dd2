"""The paste itself: what is known of it, what it is mixed of, and how its stiffness goes with its water."""
