"""What people of every age measure, and where their eyes, heads and limbs are as they pose.

Sizes come from growth tables and surveys of adults (`body`), places from shares of those sizes
(`figure`). All that leaves this package is a `kinlight.geometry.people.Figure`.
"""
