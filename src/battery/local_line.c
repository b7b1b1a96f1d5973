#include "battery/local_line.h"

#include "numeric/changepoint.h"

/* Whether scatter of so many degrees of freedom exceeds the noise by more than chance does once in twenty:
 * the quantile of chi-square over dof by Wilson & Hilferty (1931, PNAS 17:684). */
static bool exceeds(double scatter, double noise, double dof)
{
    double part = 2 / (9 * dof), quantile = pow(1 - part + 1.645 * sqrt(part), 3);
    return scatter * scatter > quantile * noise * noise;
}

struct local_line local_line_at(const double *t_s, const double *y, size_t first, size_t last, double at_s,
                                double noise)
{
    enum { ENOUGH = 4 };
    size_t n = last - first + 1;
    double known = isnan(noise) ? 0 : noise;
    struct moments m = moments_of(t_s + first, y + first, n);
    if (n < ENOUGH || !(m.tt > 0)) {
        size_t near = fabs(t_s[first] - at_s) < fabs(t_s[last] - at_s) ? first : last;
        size_t next = near == first ? (n > 1 ? first + 1 : first) : last - 1;
        double dt = t_s[near] - t_s[next];
        struct local_line line = {
            .value = y[near], .u = known, .dof = INFINITY, .n = n, .seconds = t_s[last] - t_s[first]};
        if (dt != 0)
            line.slope = (y[near] - y[next]) / dt, line.slope_u = M_SQRT2 * known / fabs(dt);
        return line;
    }
    double slope = m.ty / m.tt, away = at_s - m.t, dof = m.n - 2;
    double scatter = sqrt(moments_rss(&m, SEGMENT_LINE) / dof);
    bool bends = exceeds(scatter, known, dof);
    double noisy = bends ? scatter : known;
    return (struct local_line){
        .value = m.y + slope * away,
        .u = noisy * sqrt(1 / m.n + away * away / m.tt),
        .slope_u = noisy / sqrt(m.tt),
        .dof = bends ? dof : INFINITY,
        .slope = slope,
        .n = n,
        .seconds = t_s[last] - t_s[first],
    };
}

size_t local_line_window(const double *t_s, size_t first, size_t last, double ahead_s)
{
    enum { LEAST = 5 };
    size_t k = last;
    double seconds = fmin(fmax(LOCAL_S, 4 * ahead_s), (t_s[last] - t_s[first]) / 3);
    while (k > first && (last - k + 1 < LEAST || t_s[k - 1] >= t_s[last] - seconds))
        k--;
    return k;
}

bool local_line_overtaken(const double *t_s, const double *y, size_t first, size_t last, size_t after,
                          double noise)
{
    if (last < first + 2)
        return false;
    size_t from = local_line_window(t_s, first, last - 1, 0);
    struct local_line line = local_line_at(t_s, y, from, last - 1, t_s[last], noise);
    double gone = y[last] - line.value, all = y[after] - line.value;
    return fabs(gone) > 6 * fmax(line.u, noise) && gone * all > 0 && fabs(gone) > fabs(all) / 2;
}
