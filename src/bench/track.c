#include "bench/track.h"

#include "battery/ending.h"
#include "battery/piece.h"

static const double least_load_a = 0.05;    /* common practice, no source */
static const double rest_of_least = 0.5;    /* of what a load draws at least: below it the load is off */
static const double lasts_s = 30;           /* a change that lasts so long is one, however few the readings */
static const double dark_share = 0.5;       /* of the last volts under load: less is no battery any more */
static const double base_s = 60;            /* the load as it is: its mean over about so long */
enum { LASTS_READINGS = 3, TURNS_LEAST = 8 };

void track_init(struct track *track, const struct rig *rig, int direction, double least_a)
{
    double feigned = 2 * accuracy_offset(&rig->of[CHANNEL_CURRENT], rig->of[CHANNEL_CURRENT].resolution);
    double least = isnan(least_a) ? least_load_a : least_a;
    *track = (struct track){
        .rig = rig, .direction = direction, .rest_a = fmax(feigned, rest_of_least * least), .span_s = 1};
    track->t_s = track->v = track->a = NAN;
    track->ended_s = track->ended_half_s = track->ended_v = track->dark_v = NAN;
    track->began_s = track->resting_v = track->step.at_s = track->held_s = NAN;
}

double track_noise_v(const struct track *track)
{
    return track->turns < TURNS_LEAST ? NAN : sqrt(fmax(0, -track->turn_v / (double)track->turns));
}

double track_noise_a(const struct track *track)
{
    return track->turns < TURNS_LEAST ? NAN : sqrt(fmax(0, -track->turn_a / (double)track->turns));
}

double track_digit(const struct track *track, enum channel channel)
{
    const struct digit *seen = channel == CHANNEL_VOLTAGE ? &track->digit_v : &track->digit_a;
    return accuracy_digit(&track->rig->of[channel], digit_found(seen));
}

/* How far a reading of the current lies from the load before it is a change. */
static double change_a(const struct track *track)
{
    double noise = track_noise_a(track);
    double digit = digit_found(&track->digit_a);
    return fmax(fmax(TRACK_STEP * fabs(track->base_a), 6 * (isnan(noise) ? 0 : noise)),
                fmax(track->rest_a, 2 * digit));
}

/* --- sums --- */

static void take_turns(struct track *track)
{
    for (size_t k = 1; k + 1 < track->buffered; k++) {
        track->turn_v += (track->at_v[k] - track->at_v[k - 1]) * (track->at_v[k + 1] - track->at_v[k]);
        track->turn_a += (track->at_a[k] - track->at_a[k - 1]) * (track->at_a[k + 1] - track->at_a[k]);
        track->turns++;
    }
}

static struct sums buffer_sums(const struct track *track)
{
    struct trace trace = {.count = track->buffered, .t_s = track->at_t_s, .v = track->at_v, .a = track->at_a};
    return piece_sums(&trace, 0, track->buffered - 1);
}

/* Empties the buffer but for its last reading, at which the next piece begins. */
static void flush(struct track *track)
{
    if (track->buffered > 1) {
        struct sums piece = buffer_sums(track);
        sums_append(&track->through.sums, &piece);
        take_turns(track);
        digit_look(track->at_v, track->buffered, &track->digit_v);
        digit_look(track->at_a, track->buffered, &track->digit_a);
    }
    size_t last = track->buffered - 1;
    track->at_t_s[0] = track->at_t_s[last];
    track->at_v[0] = track->at_v[last];
    track->at_a[0] = track->at_a[last];
    track->buffered = 1;
    track->buffer_c = track->buffer_j = 0;
}

static void buffer(struct track *track, double t_s, double v, double a)
{
    size_t k = track->buffered++;
    track->at_t_s[k] = t_s;
    track->at_v[k] = v;
    track->at_a[k] = a;
    if (k > 0) {
        double h = t_s - track->at_t_s[k - 1], a0 = track->at_a[k - 1], v0 = track->at_v[k - 1];
        track->buffer_c += h * (a0 + a) / 2; /* as in numeric/integrate.h, whose blocks are for more */
        track->buffer_j += h * (2 * (v0 * a0 + v * a) + v0 * a + v * a0) / 6;
    }
}

/* Somewhere within the interval volts and amps jump together: half its charge is open, and the mean power is
 * that of its two ends (as in battery/amounts.c). */
static void jump(struct track *track, double t_s, double v, double a)
{
    double h = t_s - track->t_s, da = a - track->a, dv = v - track->v;
    struct sums *sums = &track->through.sums;
    sums->energy_j += h * da * dv / 6;
    sums->square_a2s += h * da * da / 6;
    sums->width3_s3 -= h * h * h;
    widths_add(&track->through.steps.c, da * h / 2);
    widths_add(&track->through.steps.j, (v * a - track->v * track->a) * h / 2);
}

/* What flows the other way under a load is taken off; once the load is off it is another matter: a charger. */
static bool counts(const struct track *track, double a)
{
    return track->direction * a > track->rest_a || (track->flowing && fabs(a) > track->rest_a);
}

static void add_to_sums(struct track *track, double t_s, double v, double a)
{
    bool on = counts(track, a), was_on = counts(track, track->a);
    bool jumped = fabs(a - track->a) > change_a(track);
    if (track->readings == 0 || (!on && !was_on)) { /* rest counts nothing */
        if (track->buffered > 0)
            flush(track);
        track->buffered = 0;
        buffer(track, t_s, v, a);
        return;
    }
    if (jumped || track->buffered == TRACK_BUFFER)
        flush(track);
    buffer(track, t_s, v, a);
    if (!jumped)
        return;
    struct sums piece = buffer_sums(track); /* the interval of the step by itself, which shows no noise */
    sums_append(&track->through.sums, &piece);
    jump(track, t_s, v, a);
    track->buffered = 0;
    buffer(track, t_s, v, a);
    track->buffer_c = track->buffer_j = 0;
}

static struct throughput through_now(const struct track *track)
{
    struct throughput through = track->through;
    if (track->buffered > 1) {
        struct sums piece = buffer_sums(track);
        sums_append(&through.sums, &piece);
    }
    through.discharge_a2s = through.sums.charge_c > 0 ? through.sums.square_a2s : 0;
    return through;
}

double track_ah(const struct track *track)
{
    return track->direction * (track->through.sums.charge_c + track->buffer_c) / 3600;
}

double track_wh(const struct track *track)
{
    return track->direction * (track->through.sums.energy_j + track->buffer_j) / 3600;
}

/* What the budget of battery/amounts.h rests on; the pointers are the caller's. */
static struct basis basis_of(const struct track *track, struct series *series, struct trace *trace)
{
    static double present; /* that there is a column counts */
    *series = (struct series){.column = {[CHANNEL_VOLTAGE] = &present, [CHANNEL_CURRENT] = &present}};
    series->resolution[CHANNEL_CURRENT] = digit_found(&track->digit_a);
    series->resolution[CHANNEL_VOLTAGE] = digit_found(&track->digit_v);
    *trace = (struct trace){.v = &present};
    return (struct basis){.series = series, .trace = trace, .rig = track->rig,
                          .noise_a = track_noise_a(track), .noise_v = track_noise_v(track)};
}

struct measure track_ah_measure(const struct track *track)
{
    struct series series;
    struct trace trace;
    struct basis basis = basis_of(track, &series, &trace);
    struct throughput through = through_now(track);
    return throughput_charge_ah(&basis, &through, track->direction);
}

struct measure track_wh_measure(const struct track *track, const struct ripple *ripple)
{
    struct series series;
    struct trace trace;
    struct basis basis = basis_of(track, &series, &trace);
    basis.ripple = *ripple;
    struct throughput through = through_now(track);
    return throughput_energy_wh(&basis, &through, track->direction);
}

bool track_dark(const struct track *track)
{
    return !track->flowing && track->dark_v < dark_share * track->ended_v;
}

bool track_emptied(const struct track *track, int cells)
{
    return !track->flowing && (track_dark(track) || track->ended_v < LOW_CELL_V * cells);
}

double track_ohm(const struct track *track)
{
    return track->sum_aa > 0 ? track->sum_va / track->sum_aa : NAN;
}

/* --- points --- */

static void point_add(struct track_point *point, double t_s, double ah, double v, double a)
{
    double n = (double)++point->readings;
    if (point->readings == 1)
        point->from_s = t_s;
    point->to_s = t_s;
    point->t_s += (t_s - point->t_s) / n;
    point->ah += (ah - point->ah) / n;
    point->v += (v - point->v) / n;
    point->a += (a - point->a) / n;
}

static struct track_point point_join(const struct track_point *a, const struct track_point *b)
{
    double share = (double)b->readings / (double)(a->readings + b->readings);
    return (struct track_point){
        .t_s = a->t_s + share * (b->t_s - a->t_s),
        .ah = a->ah + share * (b->ah - a->ah),
        .v = a->v + share * (b->v - a->v),
        .a = a->a + share * (b->a - a->a),
        .from_s = a->from_s,
        .to_s = b->to_s,
        .readings = a->readings + b->readings,
        .after_step = a->after_step,
    };
}

/* Neighbours within the new length become one. `across`: over steps of the load as well, for a load that never
 * stays as it is. */
static void join_points(struct track *track, bool across)
{
    size_t kept = 0;
    for (size_t k = 0; k < track->count; k++) {
        struct track_point *last = &track->points[kept - (kept > 0)], *next = &track->points[k];
        bool joins = kept > 0 && next->to_s - last->from_s <= track->span_s && (across || !next->after_step);
        if (joins)
            *last = point_join(last, next);
        else
            track->points[kept++] = *next;
    }
    track->count = kept;
}

static struct track_point *point_room(struct track *track)
{
    while (track->count == TRACK_POINTS) {
        track->span_s *= 2;
        join_points(track, false);
        if (track->count > TRACK_POINTS * 3 / 4)
            join_points(track, true);
    }
    struct track_point *point = &track->points[track->count++];
    *point = (struct track_point){0};
    return point;
}

static void add_to_points(struct track *track, double t_s, double v, double a, bool stepped)
{
    struct track_point *point = track->count > 0 ? &track->points[track->count - 1] : NULL;
    if (point == NULL || stepped || t_s - point->from_s >= track->span_s) {
        point = point_room(track);
        point->after_step = stepped;
    }
    point_add(point, t_s, track_ah(track), v, a);
}

/* --- the load --- */

static enum track_news take_step(struct track *track)
{
    const struct track_point *trial = &track->trial;
    double half_s = (trial->from_s - track->before_t_s) / 2, at_s = track->before_t_s + half_s;
    bool on = trial->a > track->rest_a, was_on = track->flowing;
    track->held_s = at_s - track->step.at_s;
    track->step = (struct track_step){at_s, half_s, track->base_a, trial->a, track->before_v, trial->v};
    track->steps++;
    double more_a = trial->a - track->base_a, lost_v = track->direction * (track->before_v - trial->v);
    if (lost_v * more_a > 0 && trial->v > dark_share * track->before_v) { /* false where there was no reading before */
        track->sum_va += lost_v * more_a;
        track->sum_aa += more_a * more_a;
    }
    track->base_a = trial->a;
    track->base_readings = trial->readings;
    track->flowing = on;
    if (on) {
        track->ended_s = track->ended_half_s = track->ended_v = track->dark_v = NAN;
    } else if (was_on) {
        track->ended_s = at_s;
        track->ended_half_s = half_s;
        track->ended_v = track->before_v;
        track->dark_v = trial->v;
    }
    if (on && !was_on && isnan(track->began_s)) {
        track->began_s = at_s;
        track->resting_v = track->before_v;
    }
    return !was_on ? (on ? TRACK_BEGAN : TRACK_NOTHING) : on ? TRACK_STEPPED : TRACK_ENDED;
}

/* Whether the reading goes on with the load as it is, begins to differ from it, or has differed long enough. */
static enum track_news watch_load(struct track *track, double t_s, double v, double a)
{
    struct track_point *trial = &track->trial;
    double apart = change_a(track);
    if (fabs(a - track->base_a) <= apart) {
        trial->readings = 0;
        double weight = fmin(1, fmax(1 / (double)++track->base_readings, (t_s - track->t_s) / base_s));
        track->base_a += weight * (a - track->base_a); /* NaN before the first reading leaves the first of the two */
        return TRACK_NOTHING;
    }
    if (trial->readings == 0) {
        track->before_t_s = track->readings > 0 ? track->t_s : t_s;
        track->before_v = track->readings > 0 ? track->v : NAN;
    }
    if (trial->readings == 0 || fabs(a - trial->a) > apart) /* it differs, or has changed again since it began to */
        *trial = (struct track_point){0};
    point_add(trial, t_s, 0, v, a);
    bool lasted = trial->readings >= LASTS_READINGS || (trial->readings > 1 && t_s - trial->from_s >= lasts_s);
    if (!lasted)
        return TRACK_NOTHING;
    enum track_news news = take_step(track);
    trial->readings = 0;
    return news;
}

enum track_news track_add(struct track *track, double t_s, double v, double a)
{
    double along = track->direction * a;
    add_to_sums(track, t_s, v, a);
    bool on = along > track->rest_a;
    bool stepped = track->readings > 0 && fabs(a - track->a) > change_a(track);
    if (on)
        add_to_points(track, t_s, v, along, stepped || !(track->direction * track->a > track->rest_a));
    enum track_news news = watch_load(track, t_s, v, along);
    if (!isnan(track->dark_v))
        track->dark_v = fmin(track->dark_v, v);
    track->t_s = t_s;
    track->v = v;
    track->a = a;
    track->readings++;
    return news;
}
