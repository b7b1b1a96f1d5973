#include "rehearsal/load.h"

double load_power_a(double volts, double ohms, double power_w)
{
    /* The same root with the difference of near-equals taken away. */
    return 2 * power_w / (volts + sqrt(volts * volts - 4 * ohms * power_w));
}

double load_draw_a(const struct load_segment *segment, const struct pack_view *view)
{
    switch (segment->kind) {
    case SEGMENT_REST: return 0;
    case SEGMENT_POWER: {
        double a = load_power_a(view->volts, view->ohms, segment->amount + segment->idle_w);
        return isnan(a) ? view->volts / 2 / view->ohms : a;
    }
    case SEGMENT_CURRENT: return segment->amount;
    case SEGMENT_RESISTANCE: return view->volts / (view->ohms + segment->amount);
    case SEGMENT_CHARGE: {
        double held_a = (view->volts - segment->charge_v) / view->ohms;
        return fmin(fmax(held_a, -segment->amount), 0);
    }
    }
    return NAN;
}
