"""Drawings: one sheet in millimetres, its renderers, and what is drawn on it."""
