"""What the shop's documents say, as values: the picture's scene, quotes, build sheets, lists.

Pure: who draws them, and who reads what they need from the database, stands elsewhere.
"""
