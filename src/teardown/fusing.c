#include "teardown/fusing.h"

#include <math.h>

static const double mm2_per_circular_mil = 0.0254 * 0.0254 * 0.78539816339744831;

static double onderdonk(double start_degc)
{
    return log10((1083 - start_degc) / (234 + start_degc) + 1) / 33;
}

double fusing_current_a(double area_mm2, double start_degc, double for_s)
{
    return area_mm2 / mm2_per_circular_mil * sqrt(onderdonk(start_degc) / for_s);
}

double fusing_time_s(double area_mm2, double start_degc, double a)
{
    double density = a * mm2_per_circular_mil / area_mm2;
    return onderdonk(start_degc) / (density * density);
}

double adiabatic_k(double from_degc, double to_degc)
{
    return 226 * sqrt(log1p((to_degc - from_degc) / (234.5 + from_degc)));
}

double adiabatic_time_s(double area_mm2, double from_degc, double to_degc, double a)
{
    double ks = adiabatic_k(from_degc, to_degc) * area_mm2 / a;
    return ks * ks;
}
