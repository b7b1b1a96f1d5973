#include "report/plan_figure.h"

#include "base/memory.h"
#include "base/number.h"
#include "report/rung.h"

#define MARGIN 20.0
#define RUNG_AT 14.0

/* What the rung of a claim shows, in the ladder's terms: a sample that delivers just what is claimed is too close
 * to call by nature. */
static struct decision expected(const struct plan *plan, const struct prospect *p)
{
    struct decision d = {.claim = p->claim, .verdict = VERDICT_TOO_CLOSE, .measured = measure_unknown("nothing is foreseen"),
                         .probability = NAN, .reached = NAN};
    char number[64];
    if (p->outlook == OUTLOOK_OTHER_TEST) {
        d.verdict = VERDICT_NOT_TESTED;
    } else if (p->outlook == OUTLOOK_CANNOT_REACH) {
        d.verdict = VERDICT_NOT_EXERCISED;
        d.reached = p->claim->quantity == QUANTITY_POWER     ? plan->reach_w
                    : p->claim->quantity == QUANTITY_CURRENT ? plan->reach_a
                                                             : NAN;
    } else if (p->half_width > 0) {
        d.measured = measure_of(p->claim->stated);
        d.measured.lo = p->claim->stated - p->half_width;
        d.measured.hi = p->claim->stated + p->half_width;
        number_print(p->half_width, p->half_width, number, sizeof number);
        snprintf(d.found, sizeof d.found, "± %s %s", number, quantity_symbol(p->claim->quantity));
    }
    return d;
}

static struct axis axis_for(const struct plan *plan, double width)
{
    struct assessment all = {.decisions = memory_get((plan->count + 1) * sizeof *all.decisions),
                             .decision_count = plan->count};
    for (size_t k = 0; k < plan->count; k++)
        all.decisions[k] = expected(plan, &plan->prospects[k]);
    struct axis axis = axis_of(&all, MARGIN, width - MARGIN);
    free(all.decisions);
    return axis;
}

void plan_scale_figure(const struct plan *plan, double width, struct figure *ret_figure)
{
    struct axis axis = axis_for(plan, width);
    figure_init(ret_figure, width, 40, "Scale", "Departure from the claim in per cent; right is better than claimed.");
    axis_head(ret_figure, &axis, 14);
    axis_ticks(ret_figure, &axis, 33);
}

void plan_rung_figure(const struct plan *plan, size_t k, double width, struct figure *ret_figure)
{
    struct axis axis = axis_for(plan, width);
    struct decision d = expected(plan, &plan->prospects[k]);
    char said[600];
    double height = RUNG_AT + rung_depth(&axis, &d) + 2;
    snprintf(said, sizeof said, "%s, %s: %s%s%s", d.claim->name, d.claim->as_stated, outlook_name(plan->prospects[k].outlook),
             d.found[0] != '\0' ? "; expected " : "", d.found);
    figure_init(ret_figure, width, height, said, plan->prospects[k].reason);
    axis_grid(ret_figure, &axis, 0, height);
    figure_line(ret_figure, axis.rail, 0, axis.rail, height, (struct stroke){INK_MAIN, 2.2, LINE_SOLID});
    rung_draw(ret_figure, &axis, &d, RUNG_AT);
}
