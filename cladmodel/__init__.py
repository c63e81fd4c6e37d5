"""One job description in; an exact, measured 3D model of a clad timber-frame wall out."""
