"""The case around the interior: outside sizes, panels, and the mass of it all."""
