#include "report/shelf.h"

#include "battery/resistance.h"
#include "numeric/budget.h"

static const double litres_per_m3 = 1000;

static const struct decision *decision_of(const struct assessment *assessment, enum claim_kind kind)
{
    for (size_t k = 0; k < assessment->decision_count; k++)
        if (assessment->decisions[k].claim->kind == kind)
            return &assessment->decisions[k];
    return NULL;
}

static double stated(const struct label *label, enum claim_kind kind)
{
    const struct claim *claim = label_claim(label, kind);
    return claim != NULL ? claim->stated : NAN;
}

static const struct measure *noted(const struct label *label, const char *slug)
{
    for (size_t k = 0; k < label->noted_count; k++)
        if (strcmp(label->noted[k].slug, slug) == 0 && measure_known(&label->noted[k].measure))
            return &label->noted[k].measure;
    return NULL;
}

/* What the claim's verdict rests on, else what the test delivered. A claim that was not exercised tells how far the
 * test got, which is what it delivered. */
static struct measure delivered(const struct decision *decision, const struct record *main, enum quantity quantity)
{
    if (decision != NULL && measure_known(&decision->measured))
        return decision->measured;
    if (main != NULL)
        return quantity == QUANTITY_CHARGE ? main->findings.test_ah : main->findings.test_wh;
    return measure_unknown("no discharge was assessed");
}

/* To first order, from the parts of both (JCGM 100:2008, 5.1.2). */
static struct measure quotient(const struct measure *a, const struct measure *b)
{
    if (!measure_known(a))
        return *a;
    if (!measure_known(b) || !(b->value > 0))
        return measure_known(b) ? measure_unknown("what it is divided by is not above zero") : *b;
    double value = a->value / b->value;
    struct measure q = measure_sum(a, 1 / b->value, b, -value / b->value);
    q.value = value;
    budget_close(&q);
    return q;
}

static struct measure product(const struct measure *a, const struct measure *b)
{
    struct measure p = measure_sum(a, b->value, b, a->value);
    p.value = a->value * b->value;
    budget_close(&p);
    return p;
}

static void take_size(const struct label *label, struct shelf_entry *entry)
{
    const struct measure *length = noted(label, "length"), *width = noted(label, "width"), *height = noted(label, "height");
    entry->claimed_l = litres_per_m3 * stated(label, CLAIM_LENGTH) * stated(label, CLAIM_WIDTH) * stated(label, CLAIM_HEIGHT);
    entry->volume_l = measure_unknown("neither measured nor claimed");
    if (length != NULL && width != NULL && height != NULL) {
        struct measure area = product(length, width), volume = product(&area, height);
        entry->volume_l = measure_scale(&volume, litres_per_m3);
        budget_close(&entry->volume_l);
    } else if (isfinite(entry->claimed_l)) {
        entry->volume_l = measure_of(entry->claimed_l);
        entry->volume_claimed = true;
    }
}

static void take_mass(const struct label *label, struct shelf_entry *entry)
{
    const struct measure *mass = noted(label, "mass");
    entry->claimed_kg = stated(label, CLAIM_MASS);
    entry->mass_kg = mass != NULL ? *mass : measure_unknown("neither weighed nor claimed");
    if (mass == NULL && isfinite(entry->claimed_kg)) {
        entry->mass_kg = measure_of(entry->claimed_kg);
        entry->mass_claimed = true;
    }
}

static const struct resistance *best_resistance(const struct assessment *assessment, bool of_tests)
{
    const struct resistance *best = NULL;
    for (size_t k = 0; k < assessment->record_count; k++) {
        const struct findings *findings = &assessment->records[k].findings;
        const struct step *step = findings->has_test == of_tests ? resistance_best(findings) : NULL;
        const struct resistance *first = step != NULL ? &step->resistance[0] : NULL;
        if (first != NULL && (best == NULL || first->ohm.u * best->ohm.value < best->ohm.u * first->ohm.value))
            best = first;
    }
    return best;
}

/* Of whole discharges first: a sample that was heated or chilled, or is being charged, resists otherwise. */
static void take_resistance(const struct assessment *assessment, struct shelf_entry *entry)
{
    const struct resistance *best = best_resistance(assessment, true);
    if (best == NULL)
        best = best_resistance(assessment, false);
    entry->resistance_ohm = best != NULL ? best->ohm : measure_unknown("no step of current that gives a resistance");
    entry->resistance_delay_s = best != NULL ? best->delay_s : NAN;
}

static void say(struct text *thin, bool holds, const char *words)
{
    if (holds)
        text_addf(thin, "%s%s", thin->length > 0 ? "; " : "", words);
}

static bool rig_stated(const struct rig *rig)
{
    return rig->of[CHANNEL_VOLTAGE].stated || rig->of[CHANNEL_CURRENT].stated || rig->of[CHANNEL_POWER].stated;
}

static void take_thin(const struct assessment *assessment, struct shelf_entry *entry)
{
    const struct record *main = entry->main;
    say(&entry->thin, assessment->label.claim_count == 0, "no claims");
    say(&entry->thin, assessment->record_count == 0, "no readings");
    say(&entry->thin, assessment->record_count > 0 && main == NULL, "no discharge");
    say(&entry->thin, main != NULL && main->by_eye, "read by eye");
    say(&entry->thin, assessment->record_count > 0 && !rig_stated(&assessment->rig), "no rig");
    say(&entry->thin, main != NULL && main->findings.beginning_unseen, "beginning not seen");
    say(&entry->thin, main != NULL && main->findings.full_before == 0, "not full before");
}

void shelf_entry_of(const struct assessment *assessment, struct shelf_entry *ret_entry)
{
    const struct label *label = &assessment->label;
    struct shelf_entry entry = {.nominal_v = label->nominal_v, .rated_ah = label->rated_ah, .rated_wh = label->rated_wh,
                                .price = label->price, .currency = label->currency};
    entry.charge = decision_of(assessment, CLAIM_CAPACITY);
    entry.energy = decision_of(assessment, CLAIM_ENERGY);
    entry.mass = decision_of(assessment, CLAIM_MASS);
    entry.main = assessment_main(assessment);
    entry.charge_ah = delivered(entry.charge, entry.main, QUANTITY_CHARGE);
    entry.energy_wh = delivered(entry.energy, entry.main, QUANTITY_ENERGY);
    take_size(label, &entry);
    take_mass(label, &entry);
    take_resistance(assessment, &entry);
    entry.wh_per_kg = quotient(&entry.energy_wh, &entry.mass_kg);
    entry.wh_per_l = quotient(&entry.energy_wh, &entry.volume_l);
    struct measure price = label->price > 0 ? measure_of(label->price) : measure_unknown("no price on the label");
    entry.wh_per_price = quotient(&entry.energy_wh, &price);
    take_thin(assessment, &entry);
    *ret_entry = entry;
}

void shelf_entry_free(struct shelf_entry *entry)
{
    text_free(&entry->thin);
}
