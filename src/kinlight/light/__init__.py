"""Light: what flashes give off, what arrives at a face, and what a hand meter shows of it.

Light of a flash is counted over its whole duration: luminous energy in lumen seconds, exposure at
a receiver in lux seconds. This package knows direct light only; what stands in the way and what
the room sends back multiply or add to its results from outside.
"""
