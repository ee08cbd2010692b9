"""The bar as a beam and as stock: sections, metals, supports, whip, bow, buckling. Plain numbers in, frozen results out."""
