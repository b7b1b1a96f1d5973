/* Discharges drawn for the tests of the forecast: fine packs of the rehearsal that hold 0.85 to 1.1 of their rating,
 * with unlike cells, at 5 to 35 °C; 0.1 to 0.5 I_t of constant power (rippled), current or resistance; half of them
 * with a burst as planned, a third behind a load that gives up before the BMS does. All invented. */
#ifndef RUNDOWN_TESTS_FORECAST_RUNS_H
#define RUNDOWN_TESTS_FORECAST_RUNS_H

#include "bench/forecast.h"
#include "rehearsal/invented.h"
#include "rehearsal/run.h"

struct forecast_run {
    struct truth truth;
    struct shown shown;
    struct rig rig;
    struct forecast_asked asked;
    double rated_ah, from_s; /* load on */
    double rated_at_s;       /* the truth; NaN: it never came to that */
};

static inline struct rig forecast_rig(void)
{
    struct rig rig = rig_default();
    rig.of[CHANNEL_CURRENT] = (struct accuracy){.gain = 0.008, .offset = 0.05, .resolution = 0.1, .stated = true};
    rig.of[CHANNEL_VOLTAGE] = (struct accuracy){.gain = 0.004, .offset = 0.02, .resolution = 0.01, .stated = true};
    return rig;
}

static inline struct pack_make forecast_pack(const struct cell_ocv *ocv, struct random *random, int cells, double capacity_ah,
                                             double rated_ah)
{
    struct pack_make make = invented_fine_pack(ocv, cells, capacity_ah);
    double unlike = 0.02 * random_uniform(random); /* some packs are well matched, others are not */
    if (random_uniform(random) < 0.5)
        invented_cells_differ(&make, random);
    else
        for (int i = 0; i < cells; i++)
            make.capacity_ah[i] = capacity_ah * (i == 1 ? 1 : 1 + unlike * random_uniform(random));
    double thick = 0.7 + random_uniform(random);
    make.ohmic_ohm *= thick, make.fast_ohm *= thick, make.slow_ohm *= thick;
    make.leads_ohm = (4e-3 + 10e-3 * random_uniform(random)) * 100 / rated_ah;
    make.ambient_degc = 5 + 30 * random_uniform(random);
    return make;
}

static inline struct load_segment forecast_load(int kind, double a, double v)
{
    return kind == 0   ? (struct load_segment){.kind = SEGMENT_POWER, .amount = a * v, .idle_w = 9, .ripple = 0.4}
           : kind == 1 ? (struct load_segment){.kind = SEGMENT_CURRENT, .amount = a}
                       : (struct load_segment){.kind = SEGMENT_RESISTANCE, .amount = v / a};
}

/* False: it ended within the burst, which nobody can foresee. The truth and what was shown are used again. */
static inline bool forecast_draw(const struct cell_ocv *ocv, struct random *random, struct forecast_run *run)
{
    double rated_ah = 50 + 200 * random_uniform(random);
    int cells = random_uniform(random) < 0.7 ? 4 : 8, kind = (int)(3 * random_uniform(random));
    struct pack_make make = forecast_pack(ocv, random, cells, rated_ah * (0.85 + 0.25 * random_uniform(random)), rated_ah);
    double rate = 0.1 + 0.4 * random_uniform(random), v = 3.2 * cells, burst_a = 0.95 * rated_ah;
    struct load_segment base = forecast_load(kind, rate * rated_ah, v), burst = forecast_load(kind, burst_a, v);
    base.duration_s = INFINITY;
    bool gives_up = random_uniform(random) < 0.3, bursts = random_uniform(random) < 0.5;
    base.give_up_v = gives_up ? (2.6 + 0.2 * random_uniform(random)) * cells : 0;
    base.give_up_s = 2;
    struct load_segment segments[4] = {{.kind = SEGMENT_REST, .duration_s = 120}};
    size_t count = 1;
    if (bursts) {
        segments[count] = base;
        segments[count++].duration_s = 0.5 / rate * 3600;
        burst.duration_s = 240;
        segments[count++] = burst;
    }
    segments[count++] = base;
    struct program program = {segments, count, 2, 2e5};
    struct pack pack;
    pack_init(&pack, &make, 1);
    rehearse(&pack, &program, &run->truth);
    struct instrument_make meter = invented_meter();
    meter.period_s = rate > 0.3 ? 2 : 5;
    struct instrument instrument = instrument_draw(&meter, random);
    instrument_read(&instrument, &run->truth, random, &run->shown);
    run->rig = forecast_rig();
    run->rated_ah = rated_ah;
    run->from_s = run->truth.segment_s[1];
    run->rated_at_s = NAN;
    for (size_t k = run->truth.count; k-- > 0;)
        if (run->truth.intervals[k].charge_ah >= rated_ah)
            run->rated_at_s = run->truth.intervals[k].t_s;
    run->asked = (struct forecast_asked){.goal = GOAL_DISCHARGE, .rated_ah = rated_ah, .rated_wh = rated_ah * v, .cells = cells,
                                         .cut_off_v = gives_up ? base.give_up_v : NAN,
                                         .burst_at_ah = bursts ? rated_ah / 2 : NAN, .burst_a = bursts ? burst_a : NAN,
                                         .burst_s = bursts ? 240 : NAN};
    return run->truth.end != END_OVER_CURRENT && !(bursts && run->truth.end_s <= run->truth.segment_s[3]);
}

/* Feeds the track from reading `k` on until that moment; returns the next reading. */
static inline size_t forecast_feed(const struct forecast_run *run, size_t k, double until_s, struct track *track)
{
    for (; k < run->shown.count && run->shown.t_s[k] <= until_s; k++)
        if (!isnan(run->shown.v[k]) && !isnan(run->shown.a[k]))
            track_add(track, run->shown.t_s[k], run->shown.v[k], run->shown.a[k]);
    return k;
}

#endif
