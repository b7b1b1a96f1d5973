#include "bench/forecast.h"

#include "base/memory.h"
#include "base/number.h"
#include "bench/ahead.h"
#include "bench/curve_seen.h"
#include "bench/load_so_far.h"
#include "numeric/budget.h"

static const double empty_cell_v = 2.5;       /* usual BMS limit; see bench/limits.h */
static const double plateau_cell_v = 3.25;    /* to count cells that nobody stated */
static const double bounds[2] = {0.025, 0.975}, normal_k = 1.959963984540054;
static const double burst_like = 0.8;         /* of the planned current: that was the burst */
static const double burst_late = 1.1;         /* times the planned charge: nobody does it any more */
static const double open_width = 0.5;         /* of the charge: an interval wider than that is no forecast */
static const double knee_left = 0.16;         /* of the charge, at most, once the volts have left the plateau … */
static const double knee_level = 0.9;         /* … by so much of the fall to the cut-off */
static const double wander_least = 0.002;     /* a steady load still wanders so much: common practice, no source */
static const double cycling_wander = 0.05;    /* likewise, the mean of one that comes and goes */
enum { CYCLING_STEPS = 6 };

struct forecast_work {
    struct load_room *room;
    struct load_so_far load; /* of the track when it had so many points of such a length */
    size_t points, steps;
    double span_s;
    struct remaining remaining;
    double ends_s[REMAINING_GRID][2]; /* under the load of now, and the one before */
};

struct forecast_work *forecast_work_new(void)
{
    struct forecast_work *work = memory_get(sizeof *work);
    work->room = load_room_new();
    work->span_s = NAN;
    return work;
}

void forecast_work_free(struct forecast_work *work)
{
    if (work != NULL)
        load_room_free(work->room);
    free(work);
}

/* The law changes slowly and takes the longest to find: anew with each point. */
static void refresh_load(const struct track *track, struct forecast_work *work)
{
    if (work->points == track->count && work->steps == track->steps && work->span_s == track->span_s)
        return;
    load_so_far(track, work->room, &work->load);
    work->points = track->count;
    work->steps = track->steps;
    work->span_s = track->span_s;
}

/* --- the load to come --- */

static bool cycling(const struct track *track)
{
    return track->steps >= CYCLING_STEPS &&
           track->t_s - track->began_s < (double)track->steps * CURVE_SETTLES_S;
}

/* Mean over the second half of the run, pauses included. */
static double mean_a_of_late(const struct track *track)
{
    double half_s = (track->began_s + track->t_s) / 2;
    for (size_t k = 0; k < track->count; k++)
        if (track->points[k].t_s >= half_s)
            return (track_ah(track) - track->points[k].ah) / (track->t_s - track->points[k].t_s) * 3600;
    return track->base_a;
}

static bool like_burst(const struct forecast_asked *asked, double a)
{
    return a > burst_like * asked->burst_a; /* false without one */
}

static bool burst_was(const struct track *track, const struct forecast_asked *asked)
{
    for (size_t k = 0; k < track->count; k++)
        if (like_burst(asked, track->points[k].a))
            return true;
    return track_ah(track) > burst_late * asked->burst_at_ah;
}

static void plan_burst(const struct track *track, const struct forecast_asked *asked, struct ahead *ahead)
{
    if (!(asked->burst_at_ah > 0 && asked->burst_a > 0))
        return;
    double left_s = asked->burst_s, since_s = track->t_s - track->step.at_s;
    bool now = like_burst(asked, track->base_a);
    if (now && track->step.from_a > track->rest_a && since_s < 1.5 * asked->burst_s) {
        ahead->load_a = track->step.from_a; /* and back to that when it is over */
        left_s = fmax(0, asked->burst_s - since_s);
        ahead->burst_at_ah = ahead->from_ah;
    } else if (!now && !burst_was(track, asked)) {
        ahead->burst_at_ah = asked->burst_at_ah;
    }
    ahead->burst_a = asked->burst_a;
    ahead->burst_ah = asked->burst_a * left_s / 3600;
}

static struct ahead look_ahead(const struct track *track, const struct forecast_asked *asked,
                               const struct load_so_far *load, const struct remaining_seen *seen, int cells)
{
    struct ahead ahead = {.from_s = track->t_s, .from_ah = track_ah(track), .load_a = track->base_a, .other_a = NAN,
                          .exponent_u = 1 / sqrt(3), .wander = wander_least, .burst_at_ah = NAN};
    if (seen->plateau_v > 0)
        ahead.fall_share = seen->plateau_v / (track->v / cells);
    if (measure_known(&load->load.exponent)) { /* between constant power and constant resistance all the same */
        ahead.exponent = fmin(fmax(load->load.exponent.value, -1), 1);
        ahead.exponent_u = fmin(load->load.exponent.u, ahead.exponent_u);
    }
    double noise = track_noise_a(track) / track->base_a;
    ahead.wander = fmax(ahead.wander, isnan(noise) ? 0 : noise / 4);
    if (cycling(track)) {
        ahead.load_a = mean_a_of_late(track);
        ahead.wander = cycling_wander;
        return ahead;
    }
    plan_burst(track, asked, &ahead);
    double since_s = track->t_s - track->step.at_s;
    bool returned = track->held_s < CURVE_SETTLES_S; /* to what was before a short change */
    if (since_s < CURVE_SETTLES_S && !returned && track->step.from_a > track->rest_a && ahead.load_a == track->base_a)
        ahead.other_a = track->step.from_a;
    return ahead;
}

/* --- the end --- */

/* Quantile of the end under one load, or under two that are as likely; `ends_s` is room for both. */
static double quantile_s(const struct ahead *ahead, const struct remaining *remaining, double (*ends_s)[2], double p)
{
    double end_ah = remaining_quantile(remaining, p);
    if (isnan(ahead->other_a))
        return ahead_at_s(ahead, ahead->load_a, end_ah, end_ah);
    double lo_s = ahead->from_s, hi_s = fmax(ends_s[REMAINING_GRID - 1][0], ends_s[REMAINING_GRID - 1][1]);
    for (int step = 0; step < 30; step++) { /* to a thousand millionth of the whole */
        double middle_s = (lo_s + hi_s) / 2, below = 0;
        for (size_t k = 0; k < REMAINING_GRID; k++)
            below += remaining->share[k] * ((ends_s[k][0] <= middle_s) + (ends_s[k][1] <= middle_s)) / 2;
        *(below < p ? &lo_s : &hi_s) = middle_s;
    }
    return (lo_s + hi_s) / 2;
}

static void find_ends(const struct ahead *ahead, const struct remaining *remaining, double (*ends_s)[2])
{
    for (size_t k = 0; k < REMAINING_GRID; k++) {
        double end_ah = (remaining->edge_ah[k] + remaining->edge_ah[k + 1]) / 2;
        ends_s[k][0] = ahead_at_s(ahead, ahead->load_a, end_ah, end_ah);
        ends_s[k][1] = ahead_at_s(ahead, ahead->other_a, end_ah, end_ah);
    }
}

static void add_part(struct measure *m, enum cause cause, double u, const char *what, const char *remedy)
{
    measure_part(m, (struct part){.cause = cause, .shape = SHAPE_NORMAL, .u = u, .dof = INFINITY, .what = what,
                                  .remedy = remedy});
}

/* What the load leaves open, in seconds; returns its standard uncertainty. */
static double add_load_parts(const struct ahead *ahead, double to_ah, double end_ah, struct measure *m)
{
    struct ahead_u u = ahead_u(ahead, to_ah, end_ah);
    add_part(m, CAUSE_LOAD_LAW, u.law_s, "how the load goes with the volts", "");
    add_part(m, CAUSE_CONDITIONS, u.wander_s, "how steady the load is", "a steadier load");
    add_part(m, CAUSE_CONDITIONS, u.burst_s, "what the burst will draw", "");
    return hypot(hypot(u.law_s, u.wander_s), u.burst_s);
}

/* The quantiles of the distribution of the end, widened by what the load leaves open. */
static struct measure cut_off_at(const struct ahead *ahead, const struct remaining *remaining, double (*ends_s)[2],
                                 bool knee)
{
    if (!isnan(ahead->other_a))
        find_ends(ahead, remaining, ends_s);
    double middle_ah = remaining_quantile(remaining, 0.5), middle_s = quantile_s(ahead, remaining, ends_s, 0.5);
    double lo_s = quantile_s(ahead, remaining, ends_s, bounds[0]);
    double hi_s = quantile_s(ahead, remaining, ends_s, bounds[1]);
    double end_u = (hi_s - lo_s) / (2 * normal_k);
    struct measure m = measure_of(middle_s);
    add_part(&m, CAUSE_FIT, end_u, knee ? "the shape of the curve near empty" : "what packs hold beside their rating",
             knee ? "" : "the knee, once it comes");
    double load_u = add_load_parts(ahead, middle_ah, middle_ah, &m), more = normal_k * load_u;
    m.u = hypot(end_u, load_u);
    m.dof = INFINITY;
    m.lo = fmax(ahead->from_s, middle_s - hypot(middle_s - lo_s, more));
    m.hi = middle_s + hypot(hi_s - middle_s, more);
    return m;
}

/* --- charges that are passed on the way --- */

/* When it was, between the points beside it, and the current of that moment. */
static double passed_at_s(const struct track *track, double ah, double *ret_a)
{
    double t_s = track->began_s, before_ah = 0;
    *ret_a = track->count > 0 ? track->points[0].a : track->base_a;
    for (size_t k = 0; k < track->count; k++) {
        const struct track_point *point = &track->points[k];
        if (point->ah >= ah)
            return t_s + (ah - before_ah) / (point->ah - before_ah) * (point->t_s - t_s);
        t_s = point->t_s;
        before_ah = point->ah;
        *ret_a = point->a;
    }
    double now_ah = track_ah(track);
    return now_ah > before_ah ? t_s + (ah - before_ah) / (now_ah - before_ah) * (track->t_s - t_s) : t_s;
}

/* The budget of the charge in seconds, as battery/crossing.h has it, and what lies ahead. */
static struct measure passing_at(const struct track *track, const struct ahead *ahead, const struct measure *ah_now,
                                 double ah, double end_ah)
{
    bool passed = ah <= ah_now->value;
    double a = ahead->load_a;
    struct measure m = measure_of(passed ? passed_at_s(track, ah, &a) : ahead_at_s(ahead, a, ah, end_ah));
    double scale = ah_now->value > 0 ? ah / ah_now->value : 0, per_ah = 3600 / a;
    for (int k = 0; k < ah_now->count; k++) {
        struct part part = ah_now->parts[k];
        part.u *= -scale * per_ah;
        measure_part(&m, part);
    }
    if (!passed) {
        add_load_parts(ahead, ah, fmax(end_ah, ah), &m);
        if (!isnan(ahead->other_a))
            measure_part(&m, (struct part){.cause = CAUSE_CONDITIONS, .shape = SHAPE_RECTANGULAR, .dof = INFINITY,
                                           .u = (ahead_at_s(ahead, ahead->other_a, ah, end_ah) - m.value) / sqrt(3),
                                           .what = "whether the load stays or goes back", .remedy = ""});
    }
    budget_close(&m);
    return m;
}

static void say_given(const struct ahead *ahead, const struct load_so_far *load, const struct track *track,
                      struct forecast *f)
{
    static const char *const names[] = {"", " (constant power)", " (constant current)", " (constant resistance)"};
    double w = track->base_a * track->v;
    f->law = load->load.law;
    f->level = f->law == LOAD_POWER ? w : f->law == LOAD_RESISTANCE ? track->v / track->base_a : track->base_a;
    const char *unit = f->law == LOAD_POWER ? "W" : f->law == LOAD_RESISTANCE ? "ohm" : "A";
    size_t used;
    if (cycling(track))
        used = (size_t)snprintf(f->given, sizeof f->given, "if the load goes on coming and going, %.3g A on average",
                                ahead->load_a);
    else if (ahead->load_a != track->base_a)
        used = (size_t)snprintf(f->given, sizeof f->given, "if the load goes back to %.3g A after the burst", ahead->load_a);
    else
        used = (size_t)snprintf(f->given, sizeof f->given, "if the load stays at about %.3g %s%s", f->level, unit,
                                names[f->law]);
    if (!isnan(ahead->other_a))
        snprintf(f->given + used, sizeof f->given - used, " or goes back to %.3g A", ahead->other_a);
    else if (ahead->burst_at_ah > ahead->from_ah)
        snprintf(f->given + used, sizeof f->given - used, ", but for the planned burst");
}

static int cells_of(const struct track *track, const struct forecast_asked *asked)
{
    if (asked->cells > 0)
        return asked->cells;
    double v = isnan(track->resting_v) ? track->v : track->resting_v;
    return v > 0 && v < 1000 ? (int)lround(v / plateau_cell_v) : 0;
}

static double gain_u(const struct rig *rig)
{
    const struct accuracy *a = &rig->of[CHANNEL_CURRENT];
    return hypot(a->gain, a->shunt_gain) / sqrt(3);
}

/* The load is off: what was passed on the way is known, and when it stopped. */
static void no_load(const struct track *track, const struct forecast_asked *asked, struct forecast *f)
{
    const struct ahead ahead = {.load_a = NAN, .other_a = NAN}; /* none is ahead */
    double half_ah = asked->burst_at_ah > 0 ? asked->burst_at_ah : asked->rated_ah / 2;
    f->rated_at_s = f->half_way_s = f->cut_off_at_s = measure_unknown("no load is on");
    if (f->ah_now.value >= asked->rated_ah)
        f->rated_at_s = passing_at(track, &ahead, &f->ah_now, asked->rated_ah, asked->rated_ah);
    if (f->ah_now.value >= half_ah)
        f->half_way_s = passing_at(track, &ahead, &f->ah_now, half_ah, half_ah);
    if (!track_emptied(track, asked->cells))
        return;
    f->cut_off_at_s = measure_of(track->ended_s);
    measure_part(&f->cut_off_at_s, (struct part){.cause = CAUSE_STEP_INSTANTS, .shape = SHAPE_RECTANGULAR, .dof = INFINITY,
                                                 .u = track->ended_half_s / sqrt(3), .what = "when the current stopped",
                                                 .remedy = "a shorter sampling interval"});
    budget_close(&f->cut_off_at_s);
}

static void all_unknown(struct forecast *f, const char *why)
{
    f->rated_at_s = f->cut_off_at_s = f->half_way_s = measure_unknown("%s", why);
}

static void discharge(const struct track *track, const struct forecast_asked *asked, struct forecast_work *work,
                      struct forecast *f)
{
    int cells = cells_of(track, asked);
    double empty_v = cells > 0 ? fmax(empty_cell_v, isnan(asked->cut_off_v) ? 0 : asked->cut_off_v / cells) : NAN;
    struct remaining_seen seen;
    curve_seen(track, cells, empty_v, work->load.ohm, &seen);
    seen.rated_ah = asked->rated_ah;
    seen.cut_off_over_empty_v = empty_v - empty_cell_v;
    seen.gain_u = gain_u(track->rig);
    remaining_find(&seen, &work->remaining);
    struct ahead ahead = look_ahead(track, asked, &work->load, &seen, cells);
    double middle_ah = remaining_quantile(&work->remaining, 0.5);
    double least_ah = remaining_quantile(&work->remaining, bounds[0]), most_ah = remaining_quantile(&work->remaining, bounds[1]);
    bool fallen = seen.settled && seen.level_v < knee_level * seen.plateau_v; /* a burst makes them fall as well */
    f->knee = fallen && most_ah - seen.passed_ah < knee_left * most_ah;
    say_given(&ahead, &work->load, track, f);
    if (isnan(asked->rated_ah) && most_ah - least_ah > open_width * middle_ah)
        f->cut_off_at_s = measure_unknown("no rated capacity is stated, and the volts lie on the plateau, where they tell "
                                          "nothing of the charge");
    else
        f->cut_off_at_s = cut_off_at(&ahead, &work->remaining, work->ends_s, f->knee);
    f->reaches_rated = isnan(asked->rated_ah) ? NAN : remaining_reaches(&work->remaining, asked->rated_ah);
    if (isnan(asked->rated_ah))
        f->rated_at_s = measure_unknown("no rated capacity is stated");
    else if (f->reaches_rated < bounds[0])
        f->rated_at_s = measure_unknown("the sample is expected to stop before its rated %.4g Ah", asked->rated_ah);
    else
        f->rated_at_s = passing_at(track, &ahead, &f->ah_now, asked->rated_ah, fmax(middle_ah, asked->rated_ah));
    double half_ah = asked->burst_at_ah > 0 ? asked->burst_at_ah : asked->rated_ah / 2;
    f->half_way_s = isnan(half_ah) ? measure_unknown("neither a plan nor a rated capacity is stated")
                                   : passing_at(track, &ahead, &f->ah_now, half_ah, fmax(middle_ah, half_ah));
}

/* Goods that went in: when the rated charge will have. Where a charge ends is up to the charger. */
static void charge(const struct track *track, const struct forecast_asked *asked, struct forecast *f)
{
    struct ahead ahead = {.from_s = track->t_s, .from_ah = f->ah, .load_a = track->base_a, .other_a = NAN,
                          .wander = wander_least, .burst_at_ah = NAN};
    f->level = track->base_a;
    snprintf(f->given, sizeof f->given, "if the charger stays at about %.3g A", f->level);
    f->cut_off_at_s = measure_unknown("the charger decides when it ends, and how full the sample was is not known");
    f->half_way_s = measure_unknown("a charge has no burst");
    f->rated_at_s = isnan(asked->rated_ah) ? measure_unknown("no rated capacity is stated")
                                           : passing_at(track, &ahead, &f->ah_now, asked->rated_ah, asked->rated_ah);
}

void forecast_make(const struct track *track, const struct forecast_asked *asked, struct forecast_work *work,
                   struct forecast *ret_forecast)
{
    struct forecast f = {.t_s = track->t_s, .ah = track_ah(track), .wh = track_wh(track), .law = LOAD_UNKNOWN,
                         .level = NAN, .reaches_rated = NAN};
    f.share_ah = f.ah / asked->rated_ah;
    f.share_wh = f.wh / asked->rated_wh;
    refresh_load(track, work);
    f.ah_now = track_ah_measure(track);
    f.wh_now = track_wh_measure(track, &work->load.ripple);
    if (asked->goal == GOAL_NONE)
        all_unknown(&f, "this run is neither a discharge nor a charge");
    else if (isnan(track->began_s))
        all_unknown(&f, "no load is on yet");
    else if (!track->flowing && !cycling(track))
        no_load(track, asked, &f);
    else if (track->count < 2)
        all_unknown(&f, "the load has only just come on");
    else if (asked->goal == GOAL_DISCHARGE)
        discharge(track, asked, work, &f);
    else
        charge(track, asked, &f);
    *ret_forecast = f;
}
