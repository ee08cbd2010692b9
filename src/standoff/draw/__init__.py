"""The drawings: one scene of plain shapes, read off the layout, and the writers that turn it into files."""
