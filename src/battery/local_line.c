#include "battery/local_line.h"

#include "numeric/changepoint.h"

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
        return (struct local_line){y[near], known, INFINITY, dt != 0 ? (y[near] - y[next]) / dt : 0, n};
    }
    double slope = m.ty / m.tt, away = at_s - m.t, dof = m.n - 2;
    double scatter = sqrt(moments_rss(&m, SEGMENT_LINE) / dof);
    return (struct local_line){
        .value = m.y + slope * away,
        .u = fmax(scatter, known) * sqrt(1 / m.n + away * away / m.tt),
        .dof = scatter > known ? dof : INFINITY,
        .slope = slope,
        .n = n,
    };
}
