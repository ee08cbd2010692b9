"""The rules of the house, held by tests: each rule is shown to hold for the source and to fail on a planted offence."""
