#include "rehearsal/run.h"

#include <assert.h>

/* Where a run stands. */
struct standing {
    struct pack *pack;
    struct truth *truth;
    double t_s;
    double last_a;
    bool ended; /* a discharge has ended by itself */
};

static void note_step(struct standing *at, double a)
{
    struct truth *truth = at->truth;
    if (a == at->last_a || truth->steps_count == TRUTH_MOST_STEPS)
        return;
    struct truth_step *step = &truth->steps[truth->steps_count++];
    *step = (struct truth_step){.at_s = at->t_s, .from_a = at->last_a, .to_a = a};
    for (int i = 0; i < TRUTH_DELAYS; i++)
        step->ohm[i] = pack_resistance_ohm(at->pack, truth_delays_s[i]);
}

/* Adds one interval that has just been stepped. */
static void keep(struct standing *at, const struct pack_terminal *seen, double a, double ripple_w,
                 double step_s)
{
    struct truth *truth = at->truth;
    if (truth->count + 1 >= truth->capacity)
        truth_reserve(truth, 2 * truth->count + 1024);
    struct truth_interval *k = &truth->intervals[truth->count++];
    double sum_vs = (seen->start_v + 4 * seen->mid_v + seen->end_v) / 6 * step_s;
    double ripple_wh = ripple_w * step_s / 3600;
    double ah = a * step_s / 3600, wh = a * sum_vs / 3600 - ripple_wh;
    k->a = a;
    k->start_v = seen->start_v;
    k->mid_v = seen->mid_v;
    k->end_v = seen->end_v;
    at->t_s += step_s;
    k[1] = (struct truth_interval){at->t_s,
                                   at->pack->degc,
                                   at->pack->sensor_degc,
                                   k->charge_ah + ah,
                                   k->energy_wh + wh,
                                   k->ripple_wh + ripple_wh,
                                   k->volt_s + sum_vs,
                                   0,
                                   NAN,
                                   NAN,
                                   NAN};
    *(ah > 0 ? &truth->discharge_ah : &truth->charge_in_ah) += fabs(ah);
    *(ah > 0 ? &truth->discharge_wh : &truth->charge_in_wh) += fabs(wh);
    truth->heat_wh += seen->heat_w * step_s / 3600 + ripple_wh;
}

/* The board is no longer as it was. */
static void note_event(struct standing *at, const struct bms *was, double v, double a)
{
    struct truth *truth = at->truth;
    const struct bms *is = &at->pack->bms;
    if ((is->state == was->state && is->climate == was->climate) || truth->events_count == TRUTH_MOST_EVENTS)
        return;
    truth->events[truth->events_count++] =
        (struct truth_event){at->t_s, v, a, at->pack->sensor_degc, is->state, is->climate};
}

static void note_end(struct standing *at, enum truth_end end)
{
    struct truth *truth = at->truth;
    if (at->ended || truth->count == 0)
        return;
    at->ended = end != END_OPERATOR;
    truth->end = end;
    truth->end_s = at->t_s;
    truth->end_ah = truth->intervals[truth->count].charge_ah;
    truth->end_wh = truth->intervals[truth->count].energy_wh;
    truth->end_v = truth->intervals[truth->count - 1].end_v;
}

static enum truth_end end_of(const struct bms *bms)
{
    return bms->state == BMS_DARK_OVER_CURRENT ? END_OVER_CURRENT : END_UNDER_VOLTAGE;
}

/* Time below the load's own limit so far. */
static double low_for(const struct load_segment *segment, double v, double step_s, double so_far_s)
{
    return v < segment->give_up_v ? so_far_s + step_s : 0;
}

/* The amps that pass over the coming step: what the segment asks for and the board lets through. */
static double drawn_a(const struct pack *pack, const struct load_segment *segment,
                      const struct pack_view *view, bool gave_up)
{
    double a = bms_dark(&pack->bms) || gave_up ? 0 : load_draw_a(segment, view);
    return a < 0 && !bms_charges(&pack->bms) ? 0 : a;
}

/* How a segment stands: what ends it beside its duration. */
struct segment_standing {
    double low_for_s, refused_for_s;
    bool gave_up;
};

static void note_discharge(struct standing *at, const struct load_segment *segment, double end_v,
                           double step_s, struct segment_standing *so_far)
{
    so_far->low_for_s = low_for(segment, end_v, step_s, so_far->low_for_s);
    so_far->gave_up = so_far->low_for_s > 0 && so_far->low_for_s >= segment->give_up_s;
    if (bms_dark(&at->pack->bms))
        note_end(at, end_of(&at->pack->bms));
    else if (so_far->gave_up)
        note_end(at, END_LOAD);
}

/* Whether the segment ends here by itself. Through the step the board was as it `was`, and `a` passed. */
static bool is_over(const struct standing *at, const struct load_segment *segment, const struct bms *was,
                    double a, double step_s, struct segment_standing *so_far)
{
    bool forever = isinf(segment->duration_s);
    if (segment->kind != SEGMENT_CHARGE)
        return forever && (so_far->gave_up || bms_dark(&at->pack->bms));
    bool refused = a == 0 && was->climate != BMS_MILD;
    so_far->refused_for_s = refused ? so_far->refused_for_s + step_s : 0;
    return refused ? forever && so_far->refused_for_s >= segment->refused_s : a > -segment->tail_a;
}

/* A charger that the board keeps out drives the terminals up to the volts that it holds. */
static void show_charger(const struct load_segment *segment, struct pack_terminal *seen)
{
    seen->start_v = seen->mid_v = seen->end_v = fmax(seen->end_v, segment->charge_v);
}

static void run_segment(struct standing *at, const struct load_segment *segment, double grid_s, double stop_s)
{
    struct pack *pack = at->pack;
    struct pack_pace whole = pack_pace(pack->make, grid_s);
    struct segment_standing so_far = {0};
    struct bms was = pack->bms;
    pack->touch_degc = segment->touches ? segment->touch_degc : NAN;
    pack->charger_on = segment->kind == SEGMENT_CHARGE;
    if (pack->charger_on)
        bms_wake(&pack->bms);
    note_event(at, &was, pack->make->bms.dark_v, 0);
    bool first = true;
    /* A rest of the division is no interval: a thousandth of the grid is added to the one before. */
    for (double left_s; (left_s = stop_s - at->t_s) > grid_s / 1000; first = false) {
        struct pack_pace rest = left_s >= grid_s ? whole : pack_pace(pack->make, left_s);
        struct pack_view view;
        pack_look(pack, &rest, &view);
        double a = drawn_a(pack, segment, &view, so_far.gave_up);
        if (first || (a == 0) != (at->last_a == 0))
            note_step(at, a);
        struct pack_terminal seen;
        was = pack->bms;
        pack->touch_degc += segment->touch_k_per_s * rest.step_s;
        pack_step(pack, &rest, &view, a, &seen);
        if (pack->charger_on && a == 0 && !bms_charges(&was))
            show_charger(segment, &seen);
        double ripple_a = segment->ripple * a;
        keep(at, &seen, a, ripple_a * ripple_a * view.start_ohm, rest.step_s);
        note_event(at, &was, seen.end_v, a);
        at->last_a = a;
        if (a > 0)
            note_discharge(at, segment, seen.end_v, rest.step_s, &so_far);
        if (is_over(at, segment, &was, a, rest.step_s, &so_far))
            return;
    }
}

static bool discharges(const struct load_segment *segment)
{
    return segment->kind != SEGMENT_REST && segment->kind != SEGMENT_CHARGE;
}

void rehearse(struct pack *pack, const struct program *program, struct truth *truth)
{
    struct standing at = {.pack = pack, .truth = truth};
    truth_clear(truth);
    truth_reserve(truth, 1024);
    truth->intervals[0] = (struct truth_interval){.degc = pack->degc, .sensor_degc = pack->sensor_degc};
    assert(program->count <= TRUTH_MOST_SEGMENTS);
    for (size_t i = 0; i < program->count; i++) {
        const struct load_segment *segment = &program->segments[i];
        truth->segment_s[i] = at.t_s;
        run_segment(&at, segment, program->grid_s, fmin(at.t_s + segment->duration_s, program->limit_s));
        if (discharges(segment))
            note_end(&at, END_OPERATOR);
        truth->segment_s[i + 1] = at.t_s;
    }
}

/* The base load ran on from the burst until the run ended by itself. The burst may have been the end. */
static bool ended_at_base(const struct program *program, size_t burst, const struct truth *truth)
{
    if (truth->end == END_OPERATOR)
        return false;
    if (truth->end_s <= truth->segment_s[burst + 1])
        return truth->end_s > truth->segment_s[burst];
    const struct load_segment *base = &program->segments[burst - 1], *next = base + 2;
    return burst + 1 < program->count && next->kind == base->kind && next->amount == base->amount &&
           next->idle_w == base->idle_w && truth->end_s <= truth->segment_s[burst + 2];
}

/* Integral of mean volts dq. What the ripple takes on top belongs to the inverter. */
static double by_mean_volts(const struct truth_point *point)
{
    return point->energy_wh + point->ripple_wh;
}

struct burst_cost rehearse_burst_cost(const struct pack *fresh, const struct program *program, size_t burst,
                                      double recovery_s, const struct truth *truth, struct truth *twin)
{
    struct burst_cost cost = {NAN, NAN, NAN};
    if (burst == 0 || burst >= program->count || truth->count == 0)
        return cost;
    struct load_segment segments[TRUTH_MOST_SEGMENTS];
    memcpy(segments, program->segments, burst * sizeof *segments);
    segments[burst] = segments[burst - 1];
    segments[burst].duration_s = INFINITY;
    struct program base = {segments, burst + 1, program->grid_s, program->limit_s};
    struct pack pack = *fresh;
    rehearse(&pack, &base, twin);

    double start_s = truth->segment_s[burst];
    size_t cursor = 0;
    struct truth_point start = truth_at(truth, start_s, &cursor);
    struct truth_point end = truth_at(truth, truth->segment_s[burst + 1] + recovery_s, &cursor);
    cursor = 0;
    (void)truth_at(twin, start_s, &cursor);
    struct truth_point base_end = truth_at_charge(twin, cursor, end.charge_ah);
    cost.base_wh = by_mean_volts(&base_end) - by_mean_volts(&start);
    cost.energy_wh = by_mean_volts(&base_end) - by_mean_volts(&end);
    if (ended_at_base(program, burst, truth))
        cost.charge_ah = twin->end_ah - truth->end_ah;
    return cost;
}

void rehearse_step_ohm(const struct pack *fresh, const struct program *program, size_t k,
                       const double *delays_s, size_t count, const struct truth *truth, struct truth *twin,
                       double *ret_ohm)
{
    for (size_t i = 0; i < count; i++)
        ret_ohm[i] = NAN;
    if (k == 0 || k >= program->count || truth->count == 0)
        return;
    double longest_s = 0, start_s = truth->segment_s[k], dark_v = fresh->make->bms.dark_v;
    for (size_t i = 0; i < count; i++)
        longest_s = fmax(longest_s, delays_s[i]);
    struct load_segment segments[TRUTH_MOST_SEGMENTS];
    memcpy(segments, program->segments, k * sizeof *segments);
    segments[k - 1].duration_s = start_s - truth->segment_s[k - 1] + longest_s + program->grid_s;
    segments[k - 1].tail_a = 0;
    struct program steady = {segments, k, program->grid_s, program->limit_s};
    struct pack pack = *fresh;
    rehearse(&pack, &steady, twin);
    size_t cursor[2] = {0, 0};
    for (size_t i = 0; i < count; i++) {
        double at_s = start_s + delays_s[i];
        if (at_s >= truth->segment_s[k + 1] || at_s > twin->intervals[twin->count].t_s)
            continue;
        struct truth_point with = truth_at(truth, at_s, &cursor[0]),
                           without = truth_at(twin, at_s, &cursor[1]);
        if (with.v != dark_v && without.v != dark_v && with.a != without.a)
            ret_ohm[i] = (without.v - with.v) / (with.a - without.a);
    }
}
