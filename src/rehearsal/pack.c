#include "rehearsal/pack.h"

static const double zero_degc_k = 273.15, reference_k = 298.15;

void pack_init(struct pack *ret_pack, const struct pack_make *make, double soc)
{
    *ret_pack = (struct pack){.make = make, .degc = make->ambient_degc, .hysteresis = 1};
    for (int i = 0; i < make->cells; i++)
        ret_pack->cells[i] = (struct cell_state){.soc = soc, .soc_per_ah = 1 / make->capacity_ah[i]};
}

struct pack_pace pack_pace(const struct pack_make *make, double step_s)
{
    double fast = exp(-step_s / 2 / make->fast_s), slow = exp(-step_s / 2 / make->slow_s);
    return (struct pack_pace){step_s,      fast * fast,
                              slow * slow, exp(-step_s * make->cooling_w_per_k / make->heat_j_per_k),
                              fast,        slow};
}

static double colder_factor(const struct pack *pack)
{
    double b_k = pack->make->cold_k;
    return b_k > 0 ? exp(b_k * (1 / (pack->degc + zero_degc_k) - 1 / reference_k)) : 1;
}

void pack_look(const struct pack *pack, const struct pack_pace *pace, struct pack_view *ret_view)
{
    const struct pack_make *make = pack->make;
    double colder = colder_factor(pack);
    double resting = 0, start_behind = 0, mid_behind = 0, thicker = 0, drain_ohm = 0;
    for (int i = 0; i < make->cells; i++) {
        const struct cell_state *cell = &pack->cells[i];
        struct cell_point point = cell_ocv_at(make->ocv, cell->soc);
        resting += point.v;
        thicker += point.thicker;
        start_behind += cell->fast_v + cell->slow_v;
        mid_behind += cell->fast_v * pace->fast_half + cell->slow_v * pace->slow_half;
        /* An amp drawn for half a step empties the cell a little: that too acts as a resistance. */
        drain_ohm += point.slope_v * cell->soc_per_ah;
        ret_view->points[i] = point;
    }
    double gap_v = make->cells * make->hysteresis_v * pack->hysteresis;
    double cell_ohm =
        make->ohmic_ohm + make->fast_ohm * (1 - pace->fast_half) + make->slow_ohm * (1 - pace->slow_half);
    ret_view->resting_v = resting;
    ret_view->colder = colder;
    ret_view->start_v = resting + gap_v - start_behind;
    ret_view->start_ohm = colder * thicker * make->ohmic_ohm + make->leads_ohm;
    ret_view->volts = resting + gap_v - mid_behind;
    ret_view->ohms = colder * thicker * cell_ohm + make->leads_ohm + drain_ohm * pace->step_s / 2 / 3600;
}

static void turn_hysteresis(struct pack *pack, double taken_ah)
{
    const struct pack_make *make = pack->make;
    double kept = exp(-fabs(taken_ah) / (make->hysteresis_span * make->capacity_ah[0]));
    pack->hysteresis = kept * pack->hysteresis - copysign(1 - kept, taken_ah);
}

void pack_step(struct pack *pack, const struct pack_pace *pace, const struct pack_view *view, double a,
               struct pack_terminal *ret_terminal)
{
    const struct pack_make *make = pack->make;
    double taken_ah = a * pace->step_s / 3600;
    double fast_gain = view->colder * make->fast_ohm * (1 - pace->fast_kept) * a;
    double slow_gain = view->colder * make->slow_ohm * (1 - pace->slow_kept) * a;
    double ohmic = view->colder * make->ohmic_ohm * a;
    double end_v = 0, lowest = INFINITY, highest = -INFINITY, resting_mid = view->resting_v;
    if (make->hysteresis_v > 0 && a != 0)
        turn_hysteresis(pack, taken_ah);
    double gap_v = make->hysteresis_v * pack->hysteresis;
    for (int i = 0; i < make->cells; i++) {
        struct cell_state *cell = &pack->cells[i];
        const struct cell_point *point = &view->points[i];
        double fall = taken_ah * cell->soc_per_ah;
        cell->soc -= fall;
        cell->fast_v = cell->fast_v * pace->fast_kept + point->thicker * fast_gain;
        cell->slow_v = cell->slow_v * pace->slow_kept + point->thicker * slow_gain;
        double v =
            point->v - point->slope_v * fall + gap_v - cell->fast_v - cell->slow_v - point->thicker * ohmic;
        resting_mid -= point->slope_v * fall / 2;
        end_v += v;
        lowest = v < lowest ? v : lowest; /* fmin would cost a call */
        highest = v > highest ? v : highest;
    }
    double mid_v = view->volts - view->ohms * a;
    double start_v = view->start_v - view->start_ohm * a;
    end_v -= make->leads_ohm * a;
    double mean_v = (start_v + 4 * mid_v + end_v) / 6;
    double heat_w = a * (resting_mid - mean_v);
    double settled = make->ambient_degc + heat_w / make->cooling_w_per_k;
    pack->degc = settled + (pack->degc - settled) * pace->heat_kept;
    *ret_terminal = (struct pack_terminal){start_v, mid_v, end_v, lowest, heat_w};
    if (bms_dark(&pack->bms))
        ret_terminal->start_v = ret_terminal->mid_v = ret_terminal->end_v = make->bms.dark_v;
    bms_watch(&pack->bms, &make->bms, pace->step_s, lowest, highest, a);
}

double pack_resistance_ohm(const struct pack *pack, double delay_s)
{
    const struct pack_make *make = pack->make;
    double thicker = 0;
    for (int i = 0; i < make->cells; i++)
        thicker += cell_ocv_at(make->ocv, pack->cells[i].soc).thicker;
    double cell_ohm = make->ohmic_ohm + make->fast_ohm * (1 - exp(-delay_s / make->fast_s)) +
                      make->slow_ohm * (1 - exp(-delay_s / make->slow_s));
    return colder_factor(pack) * thicker * cell_ohm + make->leads_ohm;
}

double pack_stored_wh(const struct pack *pack)
{
    double wh = 0;
    for (int i = 0; i < pack->make->cells; i++)
        wh += pack->make->capacity_ah[i] * cell_ocv_stored_v(pack->make->ocv, pack->cells[i].soc);
    return wh;
}
