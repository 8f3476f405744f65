"""Weather in, speed of decay out: temperature, water, evaporation, the sun, and the climate factor."""
