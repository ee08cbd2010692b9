"""A real server and a real browser: one test for each errand of a technician."""
