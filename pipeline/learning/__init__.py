"""What a logbook teaches: volume, gravity and taste models, how sure they are, and why."""
