/* Air: how a warm conductor loses heat to still air around it.
 *
 * Convection from a horizontal cylinder: S. W. Churchill, H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1049,
 * Nu = {0.60 + 0.387 Ra^(1/6) / [1 + (0.559/Pr)^(9/16)]^(8/27)}², with the properties of dry air at the mean of both
 * temperatures (Sutherland's law; coefficients from memory). Radiation: σ ε (T⁴ − T_air⁴), walls as warm as the air. */
#ifndef RUNDOWN_TEARDOWN_AIR_H
#define RUNDOWN_TEARDOWN_AIR_H

struct air {
    double w_per_m_k; /* conductivity */
    double m2_per_s;  /* kinematic viscosity */
    double prandtl;
};
struct air air_at(double degc); /* dry, 101.325 kPa; −50 to 300 °C */

/* W/(m²·K) at the surface of a cylinder. */
double air_convection(double diameter_m, double surface_degc, double air_degc);
double air_radiation(double emissivity, double surface_degc, double air_degc);

#endif
