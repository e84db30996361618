"""The lens: framing, focus, depth, blur, and how sharp a print must be.

Distances on the subject's side are metres and run from the front principal plane unless a name
says otherwise; lengths on the sensor's side are millimetres. The lens is thin, or thin with a
stated pupil ratio (exit pupil over entrance pupil). F-numbers are exact ones (f/5.6 is 5.657).
"""
