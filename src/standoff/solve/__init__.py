"""Questions about gaps: the window, how sure it is, which reading is wrong, what to change."""
