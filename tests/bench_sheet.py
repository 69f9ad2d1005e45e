"""A small kit on one tier, for benches that are made and worked in tests."""

SHEET = """
title = "Tideline bench"
[case]
tiers = 1
[[item]]
name = "recorder"
mass = "1.4 kg"
body = [ { rectangle = [120, 80], z = [0, 40] } ]
up = ["top", "bottom"]
[[item]]
name = "probe"
count = 2
mass = "0.3 kg"
body = [ { circle = 20, z = [0, 30] } ]
turn = "free"
"""

BATTERIES = """
[[item]]
name = "battery"
count = 2
body = [ { rectangle = [98, 34], z = [0, 30] } ]
"""
