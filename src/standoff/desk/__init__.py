"""The use-cases: what a page or a command asks for, each in one function."""
