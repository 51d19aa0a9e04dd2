"""Von Mises' criterion: at which stress a paste yields that is not sheared but pulled or pressed."""

UNIAXIAL, PLANE_STRAIN = 3**0.5, 2.0
"""Stress at yield over the yield stress in shear [-]: pulled or pressed along one axis; in a wall too long to widen lengthwise."""
