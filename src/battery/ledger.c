#include "battery/ledger.h"

#include "base/memory.h"

enum { ENTRY = 2048 }; /* readings an entry: the three columns of one fit the second cache */

/* The bend and the turn at one reading. */
struct corner {
    double bend_a, bend_w, turn_a, turn_w, turn_both, weight, noise;
};

static inline struct corner corner_of(double h1, double da1, double dw1, double h2, double da2, double dw2)
{
    double h12 = h1 + h2;
    return (struct corner){
        .bend_a = (h1 * da2 - h2 * da1) / 2,
        .bend_w = (h1 * dw2 - h2 * dw1) / 2,
        .turn_a = da1 * da2,
        .turn_w = dw1 * dw2,
        .turn_both = (da1 * dw2 + dw1 * da2) / 2,
        .weight = h1 * h2 * h12 / 4,
        .noise = (h12 * h12 + h1 * h1 + h2 * h2) / 4,
    };
}

static inline void add_corner(struct sums *sums, struct corner corner, double sign)
{
    sums->amps.bend += sign * corner.bend_a;
    sums->amps.bend2 += sign * corner.bend_a * corner.bend_a;
    sums->amps.turn += sign * corner.turn_a;
    sums->watts.bend += sign * corner.bend_w;
    sums->watts.bend2 += sign * corner.bend_w * corner.bend_w;
    sums->watts.turn += sign * corner.turn_w;
    sums->both.bend2 += sign * corner.bend_a * corner.bend_w;
    sums->both.turn += sign * corner.turn_both;
    sums->bend_weight += sign * corner.weight;
    sums->bend_weight2 += sign * corner.weight * corner.weight;
    sums->bend_noise += sign * corner.noise;
}

static double volts_at(const struct trace *trace, size_t k)
{
    return trace->v != NULL ? trace->v[k] : 0;
}

static struct corner corner_at(const struct trace *trace, size_t k)
{
    const double *t = trace->t_s, *a = trace->a;
    double w0 = volts_at(trace, k - 1) * a[k - 1], w1 = volts_at(trace, k) * a[k];
    double w2 = volts_at(trace, k + 1) * a[k + 1];
    return corner_of(t[k] - t[k - 1], a[k] - a[k - 1], w1 - w0, t[k + 1] - t[k], a[k + 1] - a[k], w2 - w1);
}

/* Integrals, and the corners at the readings between the first and the last. */
static void sum_lines(const double *restrict t, const double *restrict v, const double *restrict a, size_t n,
                      struct sums *restrict sums)
{
    struct sums s = {0};
    double h1 = 0, da1 = 0, dw1 = 0, w = v[0] * a[0];
    for (size_t k = 0; k + 1 < n; k++) {
        double h = t[k + 1] - t[k], da = a[k + 1] - a[k], dv = v[k + 1] - v[k];
        double w_next = v[k + 1] * a[k + 1], dw = w_next - w, half = h / 2;
        s.charge_c += half * (a[k + 1] + a[k]);
        s.energy_j += half * (w_next + w - dv * da * (1.0 / 3));
        s.volt_s += half * (v[k + 1] + v[k]);
        s.square_a2s += half * (a[k + 1] * a[k + 1] + a[k] * a[k] - da * da * (1.0 / 3));
        s.width2_s2 += h * h;
        s.width3_s3 += h * h * h;
        s.longest_s = h > s.longest_s ? h : s.longest_s;
        /* at the first reading h1 is 0, and so is every product but turn (da1 = 0) and noise */
        add_corner(&s, corner_of(h1, da1, dw1, h, da, dw), 1);
        h1 = h, da1 = da, dw1 = dw, w = w_next;
    }
    if (n > 1) {
        double h = t[1] - t[0];
        s.bend_noise -= h * h / 2;
    }
    s.duration_s = t[n - 1] - t[0];
    s.intervals = n - 1;
    s.bends = n > 2 ? n - 2 : 0;
    *sums = s;
}

static void sum_flats(const double *restrict t, const double *restrict y, size_t n, struct flats *ret_flats)
{
    size_t k = 0;
    while (k + 1 < n && y[k + 1] == y[k])
        k++;
    bool unbroken = k + 1 >= n;
    double head = t[unbroken ? n - 1 : k + 1] - t[0];
    double length = 0, square = 0, longest = head;
    for (k++; k + 1 < n; k++) { /* without a branch: whether readings repeat is hard to foresee */
        length += t[k + 1] - t[k];
        double closed = y[k + 1] != y[k] ? length : 0;
        square += closed * closed;
        longest = closed > longest ? closed : longest;
        length -= closed;
    }
    *ret_flats =
        (struct flats){head, unbroken ? head : length, square, length > longest ? length : longest, unbroken};
}

static void sum_extremes(const double *restrict v, const double *restrict a, size_t n, struct sums *sums)
{
    double peak = 0, low = INFINITY;
    for (size_t k = 0; k < n; k++) {
        double size = fabs(a[k]);
        peak = size > peak ? size : peak;
        low = v[k] < low ? v[k] : low;
    }
    sums->peak_a = peak;
    sums->low_v = low;
}

/* At most ENTRY + 1 readings. */
static struct sums sum_piece(const struct trace *trace, size_t first, size_t last)
{
    static const double no_volts[ENTRY + 1];
    size_t n = last - first + 1;
    const double *t = trace->t_s + first, *a = trace->a + first;
    const double *v = trace->v != NULL ? trace->v + first : no_volts;
    struct sums sums;
    sum_lines(t, v, a, n, &sums);
    sum_flats(t, a, n, &sums.flat_a);
    sum_flats(t, v, n, &sums.flat_v);
    sum_extremes(v, a, n, &sums);
    return sums;
}

static struct flats flats_joined(const struct flats *a, const struct flats *b)
{
    double middle = a->tail_s + b->head_s;
    struct flats joined = {
        .head_s = a->unbroken ? middle : a->head_s,
        .tail_s = b->unbroken ? middle : b->tail_s,
        .square_s2 = a->square_s2 + b->square_s2,
        .longest_s = fmax(fmax(a->longest_s, b->longest_s), middle),
        .unbroken = a->unbroken && b->unbroken,
    };
    if (!a->unbroken && !b->unbroken)
        joined.square_s2 += middle * middle;
    return joined;
}

double flats_square(const struct flats *flats)
{
    double ends = flats->head_s * flats->head_s;
    if (!flats->unbroken)
        ends += flats->tail_s * flats->tail_s;
    return flats->square_s2 + ends;
}

/* Everything but the flats. */
static void add_plain(struct sums *sums, const struct sums *more)
{
    sums->intervals += more->intervals;
    sums->bends += more->bends;
    sums->duration_s += more->duration_s;
    sums->charge_c += more->charge_c;
    sums->energy_j += more->energy_j;
    sums->volt_s += more->volt_s;
    sums->square_a2s += more->square_a2s;
    sums->width2_s2 += more->width2_s2;
    sums->width3_s3 += more->width3_s3;
    sums->amps.bend += more->amps.bend;
    sums->amps.bend2 += more->amps.bend2;
    sums->amps.turn += more->amps.turn;
    sums->watts.bend += more->watts.bend;
    sums->watts.bend2 += more->watts.bend2;
    sums->watts.turn += more->watts.turn;
    sums->both.bend2 += more->both.bend2;
    sums->both.turn += more->both.turn;
    sums->bend_weight += more->bend_weight;
    sums->bend_weight2 += more->bend_weight2;
    sums->bend_noise += more->bend_noise;
    sums->longest_s = fmax(sums->longest_s, more->longest_s);
    sums->peak_a = fmax(sums->peak_a, more->peak_a);
    sums->low_v = fmin(sums->low_v, more->low_v);
}

/* Adds a piece that begins with the reading at which `sums` ends. */
static void join(struct sums *sums, const struct sums *piece, const struct trace *trace, size_t at)
{
    if (sums->intervals > 0 && piece->intervals > 0) {
        add_corner(sums, corner_at(trace, at), 1);
        sums->bends++;
    }
    sums->flat_a = flats_joined(&sums->flat_a, &piece->flat_a);
    sums->flat_v = flats_joined(&sums->flat_v, &piece->flat_v);
    add_plain(sums, piece);
}

static void flats_add(struct flats *flats, const struct flats *more)
{
    flats->square_s2 = flats_square(flats) + flats_square(more);
    flats->head_s = flats->tail_s = 0;
    flats->longest_s = fmax(flats->longest_s, more->longest_s);
    flats->unbroken = false;
}

void sums_add(struct sums *sums, const struct sums *more)
{
    flats_add(&sums->flat_a, &more->flat_a);
    flats_add(&sums->flat_v, &more->flat_v);
    add_plain(sums, more);
}

struct scatter scatter_less(const struct scatter *watts, const struct scatter *amps,
                            const struct scatter *both, double volts)
{
    return (struct scatter){
        .bend = watts->bend - volts * amps->bend,
        .bend2 = watts->bend2 - 2 * volts * both->bend2 + volts * volts * amps->bend2,
        .turn = watts->turn - 2 * volts * both->turn + volts * volts * amps->turn,
    };
}

bool ledger_init(struct ledger *ledger, const struct trace *trace)
{
    size_t count = trace->count > 1 ? (trace->count - 1 + ENTRY - 1) / ENTRY : 0;
    *ledger = (struct ledger){.trace = trace, .count = count};
    ledger->entries = memory_try(count + 1, sizeof *ledger->entries);
    if (ledger->entries == NULL)
        return false;
    for (size_t k = 0; k < count; k++) {
        size_t last = (k + 1) * ENTRY < trace->count ? (k + 1) * ENTRY : trace->count - 1;
        ledger->entries[k] = sum_piece(trace, k * ENTRY, last);
    }
    return true;
}

void ledger_free(struct ledger *ledger)
{
    memory_try_free(ledger->entries, ledger->count + 1, sizeof *ledger->entries);
    *ledger = (struct ledger){0};
}

struct sums ledger_sums(const struct ledger *ledger, size_t first, size_t last)
{
    const struct trace *trace = ledger->trace;
    size_t entry = (first + ENTRY - 1) / ENTRY; /* the first that begins within */
    size_t at = entry * ENTRY < last ? entry * ENTRY : last;
    struct sums sums = sum_piece(trace, first, at);
    for (; at < last; entry++) {
        size_t end = (entry + 1) * ENTRY;
        struct sums piece = end <= last ? ledger->entries[entry] : sum_piece(trace, at, last);
        join(&sums, &piece, trace, at);
        at = end <= last ? end : last;
    }
    return sums;
}

void sums_hold(struct sums *sums, const struct trace *trace, size_t k, double seconds)
{
    double a = trace->a[k], v = volts_at(trace, k);
    sums->duration_s += seconds;
    sums->charge_c += a * seconds;
    sums->energy_j += v * a * seconds;
    sums->volt_s += v * seconds;
    sums->square_a2s += a * a * seconds;
}

void sums_unbend(struct sums *sums, const struct trace *trace, size_t k)
{
    add_corner(sums, corner_at(trace, k), -1);
    sums->bends--;
}

size_t ledger_falls_to(const struct ledger *ledger, size_t first, size_t last, double volts)
{
    const double *v = ledger->trace->v;
    for (size_t k = first; k <= last;) {
        size_t end = (k / ENTRY + 1) * ENTRY;
        if (k % ENTRY == 0 && k / ENTRY < ledger->count && ledger->entries[k / ENTRY].low_v > volts) {
            k = end;
            continue;
        }
        for (; k <= last && k < end; k++)
            if (v[k] <= volts)
                return k;
    }
    return last + 1;
}

bool ledger_reaches(const struct ledger *ledger, size_t first, size_t last, bool energy, double target,
                    struct place *ret_place)
{
    const struct trace *trace = ledger->trace;
    double left = target;
    for (size_t at = first; at < last;) {
        size_t end = (at / ENTRY + 1) * ENTRY < last ? (at / ENTRY + 1) * ENTRY : last;
        struct sums piece =
            at % ENTRY == 0 && end % ENTRY == 0 ? ledger->entries[at / ENTRY] : sum_piece(trace, at, end);
        double gain = energy ? piece.energy_j : piece.charge_c;
        struct place place;
        if (gain >= left && place_reaches(trace->t_s + at, trace->a + at, energy ? trace->v + at : NULL,
                                          end - at + 1, left, &place)) {
            *ret_place = (struct place){at + place.k, place.fraction};
            return true;
        }
        left -= gain;
        at = end;
    }
    return false;
}
