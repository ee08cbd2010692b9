"""The pages: what a technician works with at the machine."""
