#include "teardown/air.h"

#include <math.h>

static const double kelvin = 273.15, gravity = 9.80665, pascal = 101325, gas = 287.05, stefan_boltzmann = 5.670374419e-8;

struct air air_at(double degc)
{
    double t_k = degc + kelvin;
    double viscosity = 1.716e-5 * pow(t_k / 273.15, 1.5) * (273.15 + 110.4) / (t_k + 110.4);
    double conductivity = 0.02414 * pow(t_k / 273.15, 1.5) * (273.15 + 194) / (t_k + 194);
    return (struct air){conductivity, viscosity * gas * t_k / pascal, viscosity * 1006 / conductivity};
}

double air_convection(double diameter_m, double surface_degc, double air_degc)
{
    double film_degc = 0.5 * (surface_degc + air_degc);
    struct air air = air_at(film_degc);
    double diffusivity = air.m2_per_s / air.prandtl;
    double rayleigh = gravity * fabs(surface_degc - air_degc) * diameter_m * diameter_m * diameter_m /
                      ((film_degc + kelvin) * air.m2_per_s * diffusivity);
    double shape = pow(1 + pow(0.559 / air.prandtl, 9.0 / 16), 8.0 / 27);
    double root = 0.60 + 0.387 * pow(rayleigh, 1.0 / 6) / shape;
    return root * root * air.w_per_m_k / diameter_m;
}

double air_radiation(double emissivity, double surface_degc, double air_degc)
{
    double a = surface_degc + kelvin, b = air_degc + kelvin;
    return emissivity * stefan_boltzmann * (a + b) * (a * a + b * b);
}
