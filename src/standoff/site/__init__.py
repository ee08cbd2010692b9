"""The floor and the visit: levelling and alignment, floor plan, mark-out, run-off. Plain numbers in, frozen results out."""
