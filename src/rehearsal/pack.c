#include "rehearsal/pack.h"

static const double zero_degc_k = 273.15, reference_k = 298.15;

void pack_init(struct pack *ret_pack, const struct pack_make *make, double soc)
{
    *ret_pack = (struct pack){.make = make,
                              .rungs = make->rungs > 0 ? make->rungs : 1,
                              .degc = make->ambient_degc,
                              .sensor_degc = make->ambient_degc,
                              .touch_degc = NAN,
                              .hysteresis = 1};
    warburg_shares(ret_pack->rungs, ret_pack->shares);
    for (int i = 0; i < make->cells; i++)
        ret_pack->cells[i] = (struct cell_state){.soc = soc + make->fuller[i],
                                                 .soc_per_ah = 1 / make->capacity_ah[i],
                                                 .resists = make->resists[i] > 0 ? make->resists[i] : 1};
}

struct pack_pace pack_pace(const struct pack_make *make, double step_s)
{
    return (struct pack_pace){step_s, exp(-step_s / 2 / make->fast_s), exp(-step_s / 2 / make->slow_s),
                              exp(-step_s * make->cooling_w_per_k / make->heat_j_per_k),
                              make->sensor_s > 0 ? exp(-step_s / make->sensor_s) : 0};
}

/* What temperature multiplies the resistances by. */
struct colder {
    double ohmic, fast, slow;
};

static struct colder colder_factors(const struct pack *pack)
{
    const struct pack_make *make = pack->make;
    double cold = 1 / (pack->degc + zero_degc_k) - 1 / reference_k;
    double ohmic = make->cold_k > 0 ? exp(make->cold_k * cold) : 1;
    return (struct colder){ohmic, make->fast_more_k > 0 ? ohmic * exp(make->fast_more_k * cold) : ohmic,
                           make->slow_more_k > 0 ? ohmic * exp(make->slow_more_k * cold) : ohmic};
}

static void look_at_cell(const struct pack *pack, const struct cell_state *cell, struct colder colder,
                         const struct pack_pace *pace, struct cell_view *ret_view)
{
    const struct pack_make *make = pack->make;
    ret_view->point = cell_ocv_at(make->ocv, cell->soc);
    double thicker = ret_view->point.thicker, resists = thicker * cell->resists;
    ret_view->ohmic_ohm = colder.ohmic * resists * make->ohmic_ohm;
    ret_view->fast_ohm = colder.fast * resists * make->fast_ohm;
    ret_view->slow_ohm = colder.slow * resists * make->slow_ohm;
    double first_half = pace->slow_half;
    ret_view->fast_half = pace->fast_half;
    if (make->time_follows) { /* a cell that resists more has less area: its own factor cancels */
        ret_view->fast_half = exp(-pace->step_s / 2 / (make->fast_s * colder.fast * thicker));
        first_half = exp(-pace->step_s / 2 / (make->slow_s * colder.slow * thicker));
    }
    warburg_left(pack->rungs, first_half, ret_view->slow_half);
}

void pack_look(const struct pack *pack, const struct pack_pace *pace, struct pack_view *ret_view)
{
    const struct pack_make *make = pack->make;
    struct colder colder = colder_factors(pack);
    double resting = 0, start_behind = 0, mid_behind = 0, start_ohm = 0, mid_ohm = 0, drain_ohm = 0;
    for (int i = 0; i < make->cells; i++) {
        const struct cell_state *cell = &pack->cells[i];
        struct cell_view *seen = &ret_view->cells[i];
        look_at_cell(pack, cell, colder, pace, seen);
        resting += seen->point.v;
        start_ohm += seen->ohmic_ohm;
        start_behind += cell->fast_v;
        mid_behind += cell->fast_v * seen->fast_half;
        mid_ohm += seen->ohmic_ohm + seen->fast_ohm * (1 - seen->fast_half);
        for (int k = 0; k < pack->rungs; k++) {
            start_behind += cell->slow_v[k];
            mid_behind += cell->slow_v[k] * seen->slow_half[k];
            mid_ohm += seen->slow_ohm * pack->shares[k] * (1 - seen->slow_half[k]);
        }
        /* An amp drawn for half a step empties the cell a little: that too acts as a resistance. */
        drain_ohm += seen->point.slope_v * cell->soc_per_ah;
    }
    double gap_v = make->cells * make->hysteresis_v * pack->hysteresis;
    ret_view->resting_v = resting;
    ret_view->start_v = resting + gap_v - start_behind;
    ret_view->start_ohm = start_ohm + make->leads_ohm;
    ret_view->volts = resting + gap_v - mid_behind;
    ret_view->ohms = mid_ohm + make->leads_ohm + drain_ohm * pace->step_s / 2 / 3600;
}

static void turn_hysteresis(struct pack *pack, double taken_ah)
{
    const struct pack_make *make = pack->make;
    double kept = exp(-fabs(taken_ah) / (make->hysteresis_span * make->capacity_ah[0]));
    pack->hysteresis = kept * pack->hysteresis - copysign(1 - kept, taken_ah);
}

/* Volts at the end of the step. */
static double step_cell(const struct pack *pack, struct cell_state *cell, const struct cell_view *seen,
                        double taken_ah, double a)
{
    double fall = taken_ah * cell->soc_per_ah, behind = seen->ohmic_ohm * a;
    cell->soc -= fall;
    double kept = seen->fast_half * seen->fast_half;
    cell->fast_v = cell->fast_v * kept + seen->fast_ohm * (1 - kept) * a;
    behind += cell->fast_v;
    for (int k = 0; k < pack->rungs; k++) {
        kept = seen->slow_half[k] * seen->slow_half[k];
        cell->slow_v[k] = cell->slow_v[k] * kept + seen->slow_ohm * pack->shares[k] * (1 - kept) * a;
        behind += cell->slow_v[k];
    }
    return seen->point.v - seen->point.slope_v * fall - behind;
}

static void warm(struct pack *pack, const struct pack_pace *pace, double heat_w)
{
    const struct pack_make *make = pack->make;
    double settled = make->ambient_degc + heat_w / make->cooling_w_per_k;
    pack->degc = settled + (pack->degc - settled) * pace->heat_kept;
    double felt = pack->degc;
    if (!isnan(pack->touch_degc))
        felt += make->sensor_touch * (pack->touch_degc - pack->degc);
    pack->sensor_degc = felt + (pack->sensor_degc - felt) * pace->sensor_kept;
}

void pack_step(struct pack *pack, const struct pack_pace *pace, const struct pack_view *view, double a,
               struct pack_terminal *ret_terminal)
{
    const struct pack_make *make = pack->make;
    double taken_ah = a * pace->step_s / 3600;
    double end_v = 0, lowest = INFINITY, highest = -INFINITY, resting_mid = view->resting_v;
    if (make->hysteresis_v > 0 && a != 0)
        turn_hysteresis(pack, taken_ah);
    double gap_v = make->hysteresis_v * pack->hysteresis;
    for (int i = 0; i < make->cells; i++) {
        struct cell_state *cell = &pack->cells[i];
        double v = gap_v + step_cell(pack, cell, &view->cells[i], taken_ah, a);
        resting_mid -= view->cells[i].point.slope_v * taken_ah * cell->soc_per_ah / 2;
        end_v += v;
        lowest = v < lowest ? v : lowest; /* fmin would cost a call */
        highest = v > highest ? v : highest;
    }
    double mid_v = view->volts - view->ohms * a;
    double start_v = view->start_v - view->start_ohm * a;
    end_v -= make->leads_ohm * a;
    double mean_v = (start_v + 4 * mid_v + end_v) / 6;
    double heat_w = a * (resting_mid - mean_v);
    warm(pack, pace, heat_w);
    *ret_terminal = (struct pack_terminal){start_v, mid_v, end_v, lowest, heat_w};
    if (bms_dark(&pack->bms))
        ret_terminal->start_v = ret_terminal->mid_v = ret_terminal->end_v = make->bms.dark_v;
    struct bms_sight sight = {lowest, highest, a, pack->sensor_degc, pack->charger_on};
    bms_watch(&pack->bms, &make->bms, pace->step_s, &sight);
}

double pack_resistance_ohm(const struct pack *pack, double delay_s)
{
    const struct pack_make *make = pack->make;
    struct pack_pace pace = pack_pace(make, 2 * delay_s); /* its half is the delay */
    struct colder colder = colder_factors(pack);
    double ohm = make->leads_ohm;
    for (int i = 0; i < make->cells; i++) {
        struct cell_view seen;
        look_at_cell(pack, &pack->cells[i], colder, &pace, &seen);
        ohm += seen.ohmic_ohm + seen.fast_ohm * (1 - seen.fast_half) +
               seen.slow_ohm * warburg_reached(pack->rungs, pack->shares, seen.slow_half[0]);
    }
    return ohm;
}

double pack_stored_wh(const struct pack *pack)
{
    double wh = 0;
    for (int i = 0; i < pack->make->cells; i++)
        wh += pack->make->capacity_ah[i] * cell_ocv_stored_v(pack->make->ocv, pack->cells[i].soc);
    return wh;
}
