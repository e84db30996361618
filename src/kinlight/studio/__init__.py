"""What the studio keeps: so far the record of what happened at a sitting."""
