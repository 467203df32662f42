"""Sheet: the laboratory's numbers become energy, indices, grades and flags."""
