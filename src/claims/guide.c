#include "claims/guide.h"

#include "base/text.h"
#include "claims/guide_parts.h"
#include "claims/stop_named.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

const char guide_no_short[] =
    "A short circuit is not tested here, and no sheet is offered for it: thousands of amperes flow before anything acts, "
    "cables and terminals weld and throw metal, a board that fails leaves nothing between the cells and the fault, and a "
    "board that survives once is not the same afterwards, so that nothing could be repeated. It belongs in a test house with "
    "a blast-proof room. What a claim of short-circuit protection can be held against here is the fuse and the board that "
    "the opened sample shows.";

static const struct {
    const char *name, *title, *kind;
} tests[GUIDE_TESTS] = {
    [GUIDE_CHARGE] = {"charge", "Full charge with rest", "charge"},
    [GUIDE_COLD_CHARGE] = {"cold-charge", "Charging stopped by cold", "protection"},
    [GUIDE_HOT_CHARGE] = {"hot-charge", "Charging stopped by heat", "protection"},
    [GUIDE_OVER_CURRENT] = {"over-current", "Current held, or stopped", "protection"},
    [GUIDE_LOW_VOLTAGE] = {"low-voltage", "Low-voltage cut-off, recovery and wake", "discharge"},
    [GUIDE_HIGH_VOLTAGE] = {"high-voltage", "Charging stopped by high volts", "protection"},
};

static const struct {
    const char *name, *heading;
} parts[GUIDE_PARTS] = {
    [GUIDE_SHOWS] = {"shows", "What it can show"},     [GUIDE_SHOWS_NOT] = {"shows_not", "What it cannot"},
    [GUIDE_NEEDS] = {"needs", "Needed"},               [GUIDE_PREPARE] = {"prepare", "Preparation"},
    [GUIDE_CAUTIONS] = {"cautions", "Cautions"},       [GUIDE_STEPS] = {"steps", "Step by step"},
    [GUIDE_STOP] = {"stop", "Stop at once"},           [GUIDE_NOTE] = {"note", "Note beside the readings"},
    [GUIDE_SOURCES] = {"sources", "Where this is from"},
};

const char *guide_name(enum guide_test test)
{
    return tests[test].name;
}

const char *guide_title(enum guide_test test)
{
    return tests[test].title;
}

const char *guide_kind(enum guide_test test)
{
    return tests[test].kind;
}

const char *guide_part_name(enum guide_part part)
{
    return parts[part].name;
}

const char *guide_part_heading(enum guide_part part)
{
    return parts[part].heading;
}

enum guide_test guide_named(const char *name)
{
    int test = 0;
    while (test < GUIDE_TESTS && strcmp(tests[test].name, name) != 0)
        test++;
    return (enum guide_test)test;
}

/* There is none for what cold, heat or too much current do to a current the other way. */
static enum guide_test of_stop(struct stop_named stop)
{
    switch (stop.way) {
    case TRIP_COLD: return stop.charging ? GUIDE_COLD_CHARGE : GUIDE_TESTS;
    case TRIP_HOT: return stop.charging ? GUIDE_HOT_CHARGE : GUIDE_TESTS;
    case TRIP_OVER_CURRENT: return stop.charging ? GUIDE_TESTS : GUIDE_OVER_CURRENT;
    case TRIP_LOW: return GUIDE_LOW_VOLTAGE;
    case TRIP_HIGH: return GUIDE_HIGH_VOLTAGE;
    default: return GUIDE_TESTS;
    }
}

enum guide_test guide_of_claim(const struct claim *claim)
{
    switch (claim->kind) {
    case CLAIM_CHARGE_VOLTAGE:
    case CLAIM_CHARGE_CURRENT:
    case CLAIM_EFFICIENCY: return GUIDE_CHARGE;
    case CLAIM_CHARGE_TEMPERATURE_MIN: return GUIDE_COLD_CHARGE;
    case CLAIM_CHARGE_TEMPERATURE_MAX: return GUIDE_HOT_CHARGE;
    case CLAIM_CONTINUOUS_CURRENT:
    case CLAIM_PEAK_CURRENT: return GUIDE_OVER_CURRENT;
    case CLAIM_CUT_OFF_VOLTAGE: return GUIDE_LOW_VOLTAGE;
    case CLAIM_CHARGE_CUT_OFF: return GUIDE_HIGH_VOLTAGE;
    case CLAIM_YES_NO: return of_stop(stop_named(claim));
    default: return GUIDE_TESTS;
    }
}

static const char *fact_named(const struct guide_facts *facts, struct span name)
{
    for (int key = 0; key < GUIDE_KEYS; key++)
        if (span_is(name, guide_key_names[key]))
            return facts->of[key].words;
    assert(!"a template names a fact that is none");
    return "";
}

static void fill_in(const char *template, const struct guide_facts *facts, char *words, size_t size)
{
    struct text text = TEXT_EMPTY;
    for (const char *at = template; *at != '\0';) {
        const char *end = *at == '{' ? strchr(at, '}') : NULL;
        if (end != NULL) {
            text_add(&text, fact_named(facts, (struct span){at + 1, (size_t)(end - at - 1)}));
            at = end + 1;
        } else {
            text_add_bytes(&text, at++, 1);
        }
    }
    assert(text.length < size);
    span_copy((struct span){text_string(&text), text.length}, words, size);
    text_free(&text);
}

static void add_part(enum guide_part part, const struct guide_template *t, const struct guide_facts *facts, struct guide *guide)
{
    for (; t->words != NULL; t++) {
        if (t->part != part || (t->when & ~facts->when) != 0)
            continue;
        assert(guide->count < GUIDE_LINES);
        struct guide_line *line = &guide->lines[guide->count++];
        line->part = part;
        fill_in(t->words, facts, line->words, sizeof line->words);
        snprintf(line->mark, sizeof line->mark, "%s", t->mark != NULL ? t->mark : "");
    }
}

static void add_numbers(const struct guide_facts *facts, struct guide *guide)
{
    enum guide_key keys[GUIDE_NUMBERS];
    const char *what[GUIDE_NUMBERS];
    guide->number_count = guide_facts_listed(guide->test, keys, what);
    for (size_t k = 0; k < guide->number_count; k++) {
        const struct guide_fact *fact = &facts->of[keys[k]];
        struct guide_number *number = &guide->numbers[k];
        number->what = what[k];
        snprintf(number->words, sizeof number->words, "%s", fact->told ? fact->words : "cannot tell");
        snprintf(number->from, sizeof number->from, "%s", fact->from);
    }
}

enum status guide_make(enum guide_test test, const struct label *label, const struct rig *rig, const struct loads *loads,
                       struct guide *ret_guide, struct message *message)
{
    struct guide_facts facts;
    if (label->claim_count > 0 && !label->lithium_iron_phosphate) {
        status_fail(message, STATUS_AMBIGUOUS, "the test sheets are for cells of lithium iron phosphate, and the label says another "
                    "chemistry: their limits would harm it");
        status_at(message, label->path, 0, 0);
        return status_remedy(message, "write `chemistry = LiFePO4` on the label if that is what it is");
    }
    guide_facts_find(test, label, rig, loads, &facts);
    *ret_guide = (struct guide){.test = test, .invented = label->invented};
    snprintf(ret_guide->sample, sizeof ret_guide->sample, "%s", label->sample);
    add_numbers(&facts, ret_guide);
    for (int part = 0; part < GUIDE_PARTS; part++) {
        add_part((enum guide_part)part, guide_templates[test], &facts, ret_guide);
        add_part((enum guide_part)part, guide_common, &facts, ret_guide);
    }
    return STATUS_OK;
}
