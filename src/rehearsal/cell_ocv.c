#include "rehearsal/cell_ocv.h"

double cell_positive_v(double y)
{
    return 3.4077 - 0.020269 * y + 0.5 * exp(-150 * y) - 0.9 * exp(-30 * (1 - y));
}

double cell_negative_v(double x)
{
    return 1.9793 * exp(-39.3631 * x) + 0.2482 - 0.0909 * tanh(29.8538 * (x - 0.1234)) -
           0.04478 * tanh(14.9159 * (x - 0.2769)) - 0.0205 * tanh(30.4444 * (x - 0.6103));
}

static double resting_v(struct cell_window w, double s)
{
    return cell_positive_v(w.y_empty + (w.y_full - w.y_empty) * s) -
           cell_negative_v(w.x_empty + (w.x_full - w.x_empty) * s);
}

void cell_ocv_init(struct cell_ocv *ret_ocv, struct cell_window window, double rise, double spread)
{
    double stored = 0, v = resting_v(window, 0), thicker = rise;
    for (int i = 0; i < CELL_OCV_SPANS; i++) {
        double s = (i + 1.0) / CELL_OCV_SPANS;
        double next_v = resting_v(window, s);
        double next_thicker = 1 + (rise - 1) * exp(-s / spread);
        ret_ocv->nodes[i] = (struct cell_node){v, next_v - v, thicker, next_thicker - thicker, stored};
        stored += (v + next_v) / 2 / CELL_OCV_SPANS;
        v = next_v;
        thicker = next_thicker;
    }
}

void cell_ocv_thicken_full(struct cell_ocv *ocv, double rise, double spread)
{
    double more = (rise - 1) * exp(-1 / spread);
    for (int i = 0; i < CELL_OCV_SPANS; i++) {
        double next_more = (rise - 1) * exp(((i + 1.0) / CELL_OCV_SPANS - 1) / spread);
        ocv->nodes[i].thicker += more;
        ocv->nodes[i].thicker_rise += next_more - more;
        more = next_more;
    }
}

/* The span that holds `soc`, and how far along it lies; beyond the ends the last span goes on. */
static int span_at(double soc, double *ret_part)
{
    double at = soc * CELL_OCV_SPANS;
    int i = at > 0 ? at < CELL_OCV_SPANS - 1 ? (int)at : CELL_OCV_SPANS - 1 : 0;
    *ret_part = at - i;
    return i;
}

struct cell_point cell_ocv_at(const struct cell_ocv *ocv, double soc)
{
    double part;
    const struct cell_node *node = &ocv->nodes[span_at(soc, &part)];
    return (struct cell_point){node->v + part * node->v_rise, node->v_rise * CELL_OCV_SPANS,
                               node->thicker + part * node->thicker_rise};
}

double cell_ocv_stored_v(const struct cell_ocv *ocv, double soc)
{
    double part;
    const struct cell_node *node = &ocv->nodes[span_at(soc, &part)];
    return node->stored_v + (part * node->v + part * part / 2 * node->v_rise) / CELL_OCV_SPANS;
}
