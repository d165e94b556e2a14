"""What the shop's documents say, as values: the picture's scene, build sheets, lists, run sheets."""
