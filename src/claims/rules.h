/* Rules: how each kind of claim is decided. Used by decide.c only; one file a family of claims. */
#ifndef RUNDOWN_CLAIMS_RULES_H
#define RUNDOWN_CLAIMS_RULES_H

#include "claims/decide.h"

/* What a rule may look at. */
struct evidence {
    const struct label *label;
    const struct findings *findings;
    size_t count;
    const struct rig *rig;
    double decide;
};

/* A rule fills everything of the decision but `claim`; it is handed one that says 'not tested'. */
typedef void decision_rule(const struct evidence *evidence, const struct claim *claim, struct decision *decision);

decision_rule rule_capacity, rule_energy;
decision_rule rule_continuous_current, rule_peak_current, rule_suits_load;
decision_rule rule_charge_current, rule_charge_voltage, rule_charge_cut_off;
decision_rule rule_cut_off_voltage, rule_nominal_voltage, rule_resistance, rule_efficiency;
decision_rule rule_charge_temperature; /* lowest and highest: where the board stops a charge */
decision_rule rule_yes_no;
decision_rule rule_noted;      /* weighed, measured or seen: mass, size, cells, yes-or-no, temperatures */
decision_rule rule_cycle_life;
/* What was weighed, measured or counted, `where` in words, "" not said. */
void rule_measured(const struct evidence *evidence, const struct claim *claim, const struct measure *measure,
                   const char *where, struct decision *decision);

/* What a rate and a temperature can do to a capacity at most, and what counts as the same of either. */
extern const double effect_exponent_most, effect_per_kelvin_most, effect_kelvin_same, effect_rate_same;

/* What the claim's conditions would have made of the measured value: between value·(1+lo) and
 * value·(1+hi). Both 0 when the test met the claim's conditions, infinite where nothing bounds them. */
struct effect {
    double lo, hi;
    char words[200]; /* names the departures; "" when there are none */
};
/* A condition that the label does not state is decided as tested, save that a shortfall under conditions
 * harsher than the standards' may be theirs. */
struct effect effect_of_conditions(const struct claim *claim, const struct findings *findings, double rated_ah);

/* The largest resistance that a step shows at its first reading; NaN when none does. */
double findings_first_ohm(const struct findings *findings);

/* A test under the claim's own conditions, or the standards' where it states none, as what would decide it. */
void rule_ask_for_conditions(const struct claim *claim, double rated_ah, struct decision *decision);

/* Verdict of a closed measure against the claim, both ends of `effect` considered; sets verdict,
 * probability, measured and found. */
void rule_hold(const struct evidence *evidence, const struct claim *claim, const struct measure *measure,
               const struct effect *effect, struct decision *decision);

/* Half-width of the 95 % interval that would clear the claim at the value found, in words. */
void rule_what_would_decide(const struct claim *claim, const struct measure *measure, struct decision *decision);

/* Whether the BMS ended the run for its current, not for an empty sample: it opened in a stretch of more than
 * the load before, and the cells stood far from empty, in that stretch or in the longer base before it. What is far
 * from empty is known of lithium iron phosphate; of another chemistry the run's own volts tell (ending.h: low). */
bool rule_tripped(const struct findings *findings, const struct run *run, const struct label *label);

/* The finding with the largest test; SIZE_MAX when no log holds a discharge. */
size_t evidence_main(const struct evidence *evidence);

#endif
