#include "battery/ledger.h"

#include "base/memory.h"
#include "battery/piece.h"

enum { ENTRY = PIECE_READINGS };

static double volts_at(const struct trace *trace, size_t k)
{
    return trace->v != NULL ? trace->v[k] : 0;
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

void sums_append(struct sums *sums, const struct sums *piece)
{
    if (sums->intervals == 0) {
        *sums = *piece;
        return;
    }
    sums->flat_a = flats_joined(&sums->flat_a, &piece->flat_a);
    sums->flat_v = flats_joined(&sums->flat_v, &piece->flat_v);
    add_plain(sums, piece);
}

/* Adds a piece that begins with the reading at which `sums` ends. */
static void join(struct sums *sums, const struct sums *piece, const struct trace *trace, size_t at)
{
    if (sums->intervals > 0 && piece->intervals > 0) {
        piece_corner(trace, at, 1, sums);
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
        ledger->entries[k] = piece_sums(trace, k * ENTRY, last);
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
    struct sums sums = piece_sums(trace, first, at);
    for (; at < last; entry++) {
        size_t end = (entry + 1) * ENTRY;
        struct sums piece = end <= last ? ledger->entries[entry] : piece_sums(trace, at, last);
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
    piece_corner(trace, k, -1, sums);
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
            at % ENTRY == 0 && end % ENTRY == 0 ? ledger->entries[at / ENTRY] : piece_sums(trace, at, end);
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
