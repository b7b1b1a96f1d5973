#include "battery/knee.h"

/* Means of equal pieces of the readings: noise averages out, and a long log costs little to look at. */
static size_t thin(const double *t_s, const double *v, size_t n, double x[KNEE_POINTS], double y[KNEE_POINTS])
{
    size_t points = n < KNEE_POINTS ? n : KNEE_POINTS;
    for (size_t p = 0; p < points; p++) {
        size_t from = p * n / points, to = (p + 1) * n / points;
        double st = 0, sv = 0;
        for (size_t k = from; k < to; k++) {
            st += t_s[k] - t_s[0];
            sv += v[k];
        }
        x[p] = st / (double)(to - from);
        y[p] = sv / (double)(to - from);
    }
    return points;
}

bool knee_find(const double *t_s, const double *v, size_t n, double noise_v, double *ret_knee_s)
{
    enum { LEAST = 8 };
    double x[KNEE_POINTS], y[KNEE_POINTS];
    double from_s = t_s[0] + KNEE_FROM * (t_s[n - 1] - t_s[0]);
    while (n > LEAST && t_s[0] < from_s)
        t_s++, v++, n--;
    size_t points = thin(t_s, v, n, x, y), best = 0;
    if (points < LEAST || !(x[points - 1] > x[0]))
        return false;
    double fall = y[0] - y[points - 1], above = 0;
    for (size_t p = 0; p < points; p++) {
        double chord = y[0] - fall * (x[p] - x[0]) / (x[points - 1] - x[0]);
        if (y[p] - chord > above) {
            above = y[p] - chord;
            best = p;
        }
    }
    if (!(above > KNEE_SHARP * fall && above > 5 * noise_v && y[best] - y[points - 1] > KNEE_FALL * y[best]))
        return false;
    *ret_knee_s = t_s[0] + x[best];
    return true;
}
