"""The declaration: where every point of the pair stands, and which gaps must hold.

A layout in a state gives gaps; requirements on gaps give a window. Everything about the spindle axis is declared here once,
as linear forms in the measured quantities; every other room only reads it.
"""
