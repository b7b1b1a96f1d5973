/* The volts of a charge: what it was taken up to, and where the board stopped it. */
#include "claims/rules.h"

#include "claims/conformity.h"
#include "numeric/budget.h"

#include <stdint.h>

static const struct measure *volts_of(const struct charging *c)
{
    return measure_known(&c->held_v) ? &c->held_v : &c->end_v;
}

/* The charging that came to the highest volts; of those that a BMS ended for no temperature only, where asked for. NULL when
 * there is none. */
static const struct charging *highest(const struct evidence *evidence, bool by_board, size_t *ret_record)
{
    const struct charging *best = NULL;
    for (size_t r = 0; r < evidence->count; r++) {
        const struct findings *f = &evidence->findings[r];
        for (size_t k = 0; k < f->charging_count; k++) {
            const struct charging *c = &f->chargings[k];
            bool board = f->runs[c->run].ended.by == ENDED_BMS && !c->below_knee;
            for (size_t t = 0; t < f->trip_count; t++)
                board &= f->trips[t].run != c->run || f->trips[t].way == TRIP_UNKNOWN || f->trips[t].way == TRIP_HIGH;
            if (!measure_known(volts_of(c)) || (by_board && !board) ||
                (best != NULL && volts_of(c)->value <= volts_of(best)->value))
                continue;
            best = c;
            *ret_record = r;
        }
    }
    return best;
}

void rule_charge_voltage(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    const struct charging *c = highest(evidence, false, &decision->record);
    if (c == NULL) {
        snprintf(decision->reason, sizeof decision->reason, "no charge with volts in the readings");
        return;
    }
    const struct measure *v = volts_of(c);
    const struct run *run = &evidence->findings[decision->record].runs[c->run];
    char volts[48];
    measure_print(v, "V", volts, sizeof volts);
    snprintf(decision->found, sizeof decision->found, "charged up to %s", volts);
    decision->measured = *v;
    decision->reached = v->value;
    decision->verdict = VERDICT_NOT_EXERCISED;
    double least_v = claim->stated - (claim->sense == SENSE_ABOUT ? claim->tolerance : 0);
    double p = conformity_at_least(v, least_v);
    if (p >= evidence->decide) {
        decision->verdict = VERDICT_MET, decision->probability = p;
        snprintf(decision->reason, sizeof decision->reason, "the charge was taken up to the stated voltage%s",
                 measure_known(&c->held_v) ? ", which was held while the current died away" : "");
    } else if (p <= 1 - evidence->decide && run->ended.by == ENDED_BMS) {
        decision->verdict = VERDICT_TOO_CLOSE;
        decision->conditions_open = true;
        snprintf(decision->reason, sizeof decision->reason,
                 "the board stopped the charge below the stated voltage%s",
                 c->balancing == BALANCING_LATE_RISE ? ", one group of cells ahead of the others" : "");
        snprintf(decision->would_decide, sizeof decision->would_decide,
                 "several charges at a small current, until the board has brought its groups together");
    } else if (p > 1 - evidence->decide) {
        decision->verdict = VERDICT_TOO_CLOSE, decision->probability = p;
        snprintf(decision->reason, sizeof decision->reason, "the charge came to the stated voltage as near as the meter can tell");
        snprintf(decision->would_decide, sizeof decision->would_decide, "a better voltmeter, or one held against a reference");
    } else {
        snprintf(decision->reason, sizeof decision->reason, "the charge ended below the stated voltage");
        snprintf(decision->would_decide, sizeof decision->would_decide, "a charge that holds %.4g V", claim->stated);
    }
}

/* A board looks at its cells, which stand lower than the terminals under charge by what board, bars and leads take. */
static struct effect cells_lower(const struct findings *f, const struct charging *c, const struct measure *v)
{
    double drop_v = c->tail_a.value * findings_first_ohm(f);
    return (struct effect){.lo = isfinite(drop_v) ? -drop_v / v->value : -INFINITY};
}

void rule_charge_cut_off(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    size_t record = SIZE_MAX;
    const struct charging *stopped = highest(evidence, true, &record), *any = highest(evidence, false, &decision->record);
    if (any == NULL) {
        snprintf(decision->reason, sizeof decision->reason, "no charge with volts in the readings");
        return;
    }
    const struct charging *c = stopped != NULL ? stopped : any;
    const struct measure *v = &c->end_v;
    if (stopped == NULL) {
        decision->verdict = VERDICT_NOT_EXERCISED;
        decision->reached = volts_of(c)->value;
        measure_print(volts_of(c), "V", decision->found, sizeof decision->found);
        snprintf(decision->reason, sizeof decision->reason,
                 "the board did not stop a charge by its volts in the readings: %s",
                 ended_by_name(evidence->findings[decision->record].runs[c->run].ended.by));
        snprintf(decision->would_decide, sizeof decision->would_decide,
                 "a board that has to act, which is the maker's test: a supply set above its cells' limit is no bench practice");
        return;
    }
    decision->record = record;
    struct effect effect = cells_lower(&evidence->findings[record], c, v);
    rule_hold(evidence, claim, v, &effect, decision);
    snprintf(decision->reason, sizeof decision->reason,
             "volts at the terminals as the board stopped the charge; its cells, by which it acts, stood lower by what leads and "
             "board take at %.3g A", c->tail_a.value);
    if (decision->verdict == VERDICT_TOO_CLOSE)
        snprintf(decision->would_decide, sizeof decision->would_decide, "a small current until the board stops it");
}
