#include "claims/missing.h"

#include "base/memory.h"
#include "base/text.h"
#include "claims/missing_parts.h"

#include <stdarg.h>
#include <stdint.h>

const char *missing_weight_words(enum missing_weight weight)
{
    static const char *const words[] = {"nothing can be published without it", "leaves a claim open",
                                        "what was decided can be disputed for it", "would carry the verdict further"};
    return words[weight];
}

struct missing *missing_add(struct missing_list *list, enum missing_weight weight)
{
    list->items = memory_grow(list->items, list->count, &list->capacity);
    struct missing *item = &list->items[list->count++];
    *item = (struct missing){.weight = weight, .claim = SIZE_MAX, .share = NAN};
    return item;
}

void missing_say(char *words, size_t size, const char *format, ...)
{
    struct text text = TEXT_EMPTY;
    va_list args;
    va_start(args, format);
    char *whole = NULL;
    if (vasprintf(&whole, format, args) >= 0)
        text_add(&text, whole);
    va_end(args);
    span_copy(span_of(text_string(&text)), words, size);
    free(whole);
    text_free(&text);
}

static void of_basis(const struct assessment *assessment, const struct record *main, struct missing_list *list)
{
    if (!assessment->has_label || assessment->decision_count == 0) {
        struct missing *item = missing_add(list, MISSING_BASIS);
        MISSING_SAY(item->what, "No claim is stated");
        MISSING_SAY(item->next, "Type what is printed on the case, in the manual and in the listing, each with where it was read");
        MISSING_SAY(item->helps, "Findings are then held against something, and a reader sees what was promised");
    }
    if (main == NULL) {
        struct missing *item = missing_add(list, MISSING_BASIS);
        MISSING_SAY(item->what, assessment->record_count == 0 ? "There are no readings" : "The readings hold no discharge whose charge is known");
        MISSING_SAY(item->next, "Record a discharge from full to the end, or bring in a log with volts and amps");
        MISSING_SAY(item->helps, "Capacity, energy, resistance and the currents all rest on it");
    }
    if (assessment->invented) {
        struct missing *item = missing_add(list, MISSING_BASIS);
        MISSING_SAY(item->what, "Its data are invented");
        MISSING_SAY(item->next, "Test a real sample; what is made of invented data says so on every page");
        MISSING_SAY(item->helps, "A rehearsal shows how it is done and proves nothing about any battery");
    }
}

/* Share of the variance that the meters' own errors make up. */
static double meters_share(const struct measure *measure)
{
    double meters = 0, all = 0;
    for (int k = 0; k < measure->count; k++) {
        enum cause cause = measure->parts[k].cause;
        double variance = measure->parts[k].u * measure->parts[k].u;
        bool of_meter = cause == CAUSE_GAIN_CURRENT || cause == CAUSE_GAIN_VOLTAGE || cause == CAUSE_GAIN_OTHER ||
                        cause == CAUSE_OFFSET_CURRENT || cause == CAUSE_OFFSET_VOLTAGE || cause == CAUSE_OFFSET_OTHER;
        meters += of_meter ? variance : 0;
        all += variance;
    }
    return measure_known(measure) && all > 0 ? meters / all : NAN;
}

static void of_rig(const struct assessment *assessment, const struct record *main, struct missing_list *list)
{
    const struct rig *rig = &assessment->rig;
    bool volts = rig->of[CHANNEL_VOLTAGE].stated, amps = rig->of[CHANNEL_CURRENT].stated;
    if ((volts && amps) || main == NULL)
        return;
    struct missing *item = missing_add(list, MISSING_DOUBT);
    const char *which = volts ? "the ammeter" : amps ? "the voltmeter" : "the meters";
    const struct measure *ah = &main->findings.test_ah, *wh = &main->findings.test_wh;
    item->share = amps ? meters_share(wh) : meters_share(ah);
    MISSING_SAY(item->what, "Nobody stated how accurate %s %s: a wide default stands", which, volts || amps ? "is" : "are");
    MISSING_SAY(item->next, "Copy the accuracy from the meters' own papers into the rig: a gain in %% and the digits, for volts and for amps");
    if (isfinite(item->share))
        MISSING_SAY(item->helps, "The meters make up %.0f %% of the variance of the %s, which may shrink by so much", 100 * item->share,
                    amps ? "energy" : "charge");
    else
        MISSING_SAY(item->helps, "Every interval rests on a guess of ours until then");
}

static void of_label(const struct assessment *assessment, struct missing_list *list)
{
    const struct claim *capacity = label_claim(&assessment->label, CLAIM_CAPACITY);
    const struct label *label = &assessment->label;
    if (capacity != NULL && isnan(capacity->rate_it) && isnan(capacity->degc) && isnan(capacity->cut_off_v)) {
        struct missing *item = missing_add(list, MISSING_DOUBT);
        MISSING_SAY(item->what, "The label states its capacity without rate, temperature or cut-off");
        MISSING_SAY(item->next, "Look in the manual, ask the seller, and note what they say with its source; test as the standards ask meanwhile");
        MISSING_SAY(item->helps, "A shortfall under conditions harsher than the standards' stays open; one under stated conditions is decided");
    }
    if (assessment->has_label && label->had_from != HAD_BOUGHT) {
        bool maker = label->had_from == HAD_GIVEN_BY_MAKER;
        struct missing *item = missing_add(list, maker ? MISSING_DOUBT : MISSING_BREADTH);
        MISSING_SAY(item->what, "%s", maker ? "The maker chose this sample" : label->had_from == HAD_UNKNOWN
                        ? "Nobody says how the sample was had" : "The sample was not bought for the test");
        MISSING_SAY(item->next, label->had_from == HAD_UNKNOWN ? "Note on the label how it was had, with `had = …`"
                                                               : "Buy one from stock, under a name that the maker does not know");
        MISSING_SAY(item->helps, "%s", maker ? "A pass of a picked sample says little of those in the shops"
                                             : "Its age and its use before may explain what is found");
    }
    if (label->question_count > 0) {
        struct missing *item = missing_add(list, MISSING_BREADTH);
        MISSING_SAY(item->what, "%zu question%s of the tester's own %s open", label->question_count, label->question_count > 1 ? "s" : "",
                    label->question_count > 1 ? "stand" : "stands");
        MISSING_SAY(item->next, "Recheck: %.240s", label->questions[0]);
        MISSING_SAY(item->helps, "They are printed with the verdicts until they are answered");
    }
}

static void of_number(const struct assessment *assessment, struct missing_list *list)
{
    size_t tests = 0;
    for (size_t k = 0; k < assessment->record_count; k++)
        tests += assessment->records[k].findings.has_test;
    if (tests == 1) {
        struct missing *item = missing_add(list, MISSING_BREADTH);
        MISSING_SAY(item->what, "The discharge was run once");
        MISSING_SAY(item->next, "Charge it full again, let it rest, and run the same discharge a second time on the same rig");
        MISSING_SAY(item->helps, "Two that agree rule out a slip; the meters' gain cancels between them, so that they must agree closely");
    }
    if (tests > 0) {
        struct missing *item = missing_add(list, MISSING_BREADTH);
        MISSING_SAY(item->what, "One sample is one sample");
        MISSING_SAY(item->next, "Test a second unit, bought elsewhere");
        MISSING_SAY(item->helps, "It parts what is so of this unit from what is so of the kind; from one unit nothing about the kind can be told");
    }
}

static int in_order(const void *a, const void *b)
{
    const struct missing *x = a, *y = b;
    if (x->weight != y->weight)
        return x->weight < y->weight ? -1 : 1;
    double p = isfinite(x->share) ? x->share : 0, q = isfinite(y->share) ? y->share : 0;
    if (p != q)
        return p > q ? -1 : 1;
    return x->claim != y->claim ? (x->claim < y->claim ? -1 : 1) : strcmp(x->what, y->what);
}

struct missing_list missing_find(const struct assessment *assessment)
{
    struct missing_list list = {0};
    const struct record *main = assessment_main(assessment);
    of_basis(assessment, main, &list);
    missing_of_claims(assessment, &list);
    of_rig(assessment, main, &list);
    if (main != NULL)
        missing_of_test(assessment, main, &list);
    of_label(assessment, &list);
    of_number(assessment, &list);
    if (list.count > 0)
        qsort(list.items, list.count, sizeof *list.items, in_order);
    return list;
}

void missing_free(struct missing_list *list)
{
    free(list->items);
    *list = (struct missing_list){0};
}
