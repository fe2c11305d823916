"""A small photographer's studio: solids, surfaces, light and lens, from which the demo photographs are made.

Everything shown is invented. Lengths are centimetres, x to the right, y up, z towards the camera; colours
are linear light, red, green, blue, 0 to 1. Numbers come from seeds only, so a photograph can be made again.
"""
