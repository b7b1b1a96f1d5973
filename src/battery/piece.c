#include "battery/piece.h"

/* Two readings at a time: what every 64-bit processor does as fast as one. */
typedef double pair __attribute__((vector_size(2 * sizeof(double))));

static inline pair pair_at(const double *p)
{
    pair x;
    memcpy(&x, p, sizeof x);
    return x;
}

/* The fields of struct sums that are plain sums over intervals or corners. */
struct lanes {
    pair charge, energy, volt, square, width2, width3;
    pair bend_a, bend2_a, turn_a, bend_w, bend2_w, turn_w, bend2_both, turn_both;
    pair weight, weight2, noise;
};

/* Interval of width h from (v, a) on, where watts change by dw. */
static inline void add_interval(struct lanes *s, pair h, pair v, pair a, pair dv, pair da)
{
    pair half = h / 2, third = dv * da / 3;
    s->charge += half * (2 * a + da);
    s->volt += half * (2 * v + dv);
    s->energy += half * (v * a + (v + dv) * (a + da) - third);
    s->square += half * (a * a + (a + da) * (a + da) - da * da / 3);
    s->width2 += h * h;
    s->width3 += h * h * h;
}

/* The reading between an interval (h1, da1, dw1) and the next. */
static inline void add_corner(struct lanes *s, pair h1, pair da1, pair dw1, pair h2, pair da2, pair dw2)
{
    pair h12 = h1 + h2, bend_a = (h1 * da2 - h2 * da1) / 2, bend_w = (h1 * dw2 - h2 * dw1) / 2;
    pair weight = h1 * h2 * h12 / 4;
    s->bend_a += bend_a;
    s->bend2_a += bend_a * bend_a;
    s->turn_a += da1 * da2;
    s->bend_w += bend_w;
    s->bend2_w += bend_w * bend_w;
    s->turn_w += dw1 * dw2;
    s->bend2_both += bend_a * bend_w;
    s->turn_both += (da1 * dw2 + dw1 * da2) / 2;
    s->weight += weight;
    s->weight2 += weight * weight;
    s->noise += (h12 * h12 + h1 * h1 + h2 * h2) / 4;
}

static inline double both(pair x)
{
    return x[0] + x[1];
}

static void add_lanes(const struct lanes *s, double sign, struct sums *sums)
{
    sums->charge_c += sign * both(s->charge);
    sums->energy_j += sign * both(s->energy);
    sums->volt_s += sign * both(s->volt);
    sums->square_a2s += sign * both(s->square);
    sums->width2_s2 += sign * both(s->width2);
    sums->width3_s3 += sign * both(s->width3);
    sums->amps.bend += sign * both(s->bend_a);
    sums->amps.bend2 += sign * both(s->bend2_a);
    sums->amps.turn += sign * both(s->turn_a);
    sums->watts.bend += sign * both(s->bend_w);
    sums->watts.bend2 += sign * both(s->bend2_w);
    sums->watts.turn += sign * both(s->turn_w);
    sums->both.bend2 += sign * both(s->bend2_both);
    sums->both.turn += sign * both(s->turn_both);
    sums->bend_weight += sign * both(s->weight);
    sums->bend_weight2 += sign * both(s->weight2);
    sums->bend_noise += sign * both(s->noise);
}

/* Interval k to k + 1 alone, and the corner before it. The second lane stays nothing. */
static void add_single(struct lanes *s, const double *t, const double *v, const double *a, size_t k)
{
    pair h = {t[k + 1] - t[k]}, da = {a[k + 1] - a[k]}, dw = {v[k + 1] * a[k + 1] - v[k] * a[k]};
    add_interval(s, h, (pair){v[k]}, (pair){a[k]}, (pair){v[k + 1] - v[k]}, da);
    if (k > 0)
        add_corner(s, (pair){t[k] - t[k - 1]}, (pair){a[k] - a[k - 1]},
                   (pair){v[k] * a[k] - v[k - 1] * a[k - 1]}, h, da, dw);
}

static void sum_lines(const double *t, const double *v, const double *a, size_t n, struct sums *sums)
{
    struct lanes s = {0};
    size_t k = 0;
    if (n > 1)
        add_single(&s, t, v, a, k++);
    for (; k + 2 < n; k += 2) {
        pair v0 = pair_at(v + k - 1), v1 = pair_at(v + k), v2 = pair_at(v + k + 1);
        pair a0 = pair_at(a + k - 1), a1 = pair_at(a + k), a2 = pair_at(a + k + 1);
        pair h1 = pair_at(t + k) - pair_at(t + k - 1), h2 = pair_at(t + k + 1) - pair_at(t + k);
        add_interval(&s, h2, v1, a1, v2 - v1, a2 - a1);
        add_corner(&s, h1, a1 - a0, v1 * a1 - v0 * a0, h2, a2 - a1, v2 * a2 - v1 * a1);
    }
    if (k + 1 < n)
        add_single(&s, t, v, a, k);
    add_lanes(&s, 1, sums);
}

typedef long long mask __attribute__((vector_size(2 * sizeof(long long))));

static inline pair pick(mask which, pair yes, pair no)
{
    return (pair)((which & (mask)yes) | (~which & (mask)no));
}

/* Length of the repeat at the start; the whole when nothing changes. */
static double head_of(const double *t, const double *y, size_t n, bool *ret_unbroken)
{
    size_t k = 0;
    while (k + 1 < n && y[k + 1] == y[k])
        k++;
    *ret_unbroken = k + 1 >= n;
    return t[*ret_unbroken ? n - 1 : k + 1] - t[0];
}

/* Both channels at once, and without a branch: whether readings repeat is hard to foresee. */
static void sum_flats(const double *t, const double *v, const double *a, size_t n, struct sums *sums)
{
    pair y = {a[0], v[0]}, begun = {t[0], t[0]}, square = {0}, longest = {0};
    for (size_t k = 1; k < n; k++) {
        pair next = {a[k], v[k]}, now = {t[k], t[k]}, nothing = {0};
        mask changed = next != y;
        pair closed = pick(changed, now - begun, nothing);
        square += closed * closed;
        longest = pick(closed > longest, closed, longest);
        begun = pick(changed, now, begun);
        y = next;
    }
    struct flats *flats[2] = {&sums->flat_a, &sums->flat_v};
    for (int c = 0; c < 2; c++) {
        struct flats *one = flats[c];
        one->head_s = head_of(t, c == 0 ? a : v, n, &one->unbroken);
        one->tail_s = t[n - 1] - begun[c];
        one->longest_s = fmax(longest[c], one->tail_s);
        one->square_s2 =
            one->unbroken ? 0
                          : fmax(0, square[c] - one->head_s * one->head_s); /* the head is closed elsewhere */
    }
}

static void sum_extremes(const double *t, const double *v, const double *a, size_t n, struct sums *sums)
{
    double peak = fabs(a[0]), low = v[0], longest = 0;
    for (size_t k = 1; k < n; k++) {
        double size = fabs(a[k]), h = t[k] - t[k - 1];
        peak = size > peak ? size : peak;
        low = v[k] < low ? v[k] : low;
        longest = h > longest ? h : longest;
    }
    sums->peak_a = peak;
    sums->low_v = low;
    sums->longest_s = longest;
}

struct sums piece_sums(const struct trace *trace, size_t first, size_t last)
{
    static const double no_volts[PIECE_READINGS + 1];
    size_t n = last - first + 1;
    const double *t = trace->t_s + first, *a = trace->a + first;
    const double *v = trace->v != NULL ? trace->v + first : no_volts;
    struct sums sums = {.intervals = n - 1, .bends = n > 2 ? n - 2 : 0, .duration_s = t[n - 1] - t[0]};
    sum_lines(t, v, a, n, &sums);
    sum_flats(t, v, a, n, &sums);
    sum_extremes(t, v, a, n, &sums);
    return sums;
}

void piece_corner(const struct trace *trace, size_t k, double sign, struct sums *sums)
{
    const double *t = trace->t_s, *a = trace->a, *v = trace->v;
    double w[3] = {0};
    for (size_t j = 0; j < 3 && v != NULL; j++)
        w[j] = v[k - 1 + j] * a[k - 1 + j];
    struct lanes s = {0};
    add_corner(&s, (pair){t[k] - t[k - 1]}, (pair){a[k] - a[k - 1]}, (pair){w[1] - w[0]},
               (pair){t[k + 1] - t[k]}, (pair){a[k + 1] - a[k]}, (pair){w[2] - w[1]});
    add_lanes(&s, sign, sums);
}
