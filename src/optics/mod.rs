//! Fresnel reflection and penetration depth in attenuated total reflection.
