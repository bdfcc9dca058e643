"""The repair of a stripped hole: the outer thread of a bush, its wall, and what it carries."""
