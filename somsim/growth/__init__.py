"""Growth of green crops: degree days, standing dry mass, cuts and regrowth, ripeness at the cut.

Pure functions of numbers and arrays; every figure about a crop is an argument.
"""
