#include "claims/summary.h"

#include "base/memory.h"
#include "base/text.h"
#include "battery/trips.h"
#include "claims/claim_names.h"
#include "claims/untested.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

enum { NAMED_UNTESTED = 3 };

/* `capacity, energy and mass`, in the words of the claims; what is a sentence rather than a name is quoted. */
static size_t list_claims(const struct assessment *assessment, enum verdict verdict, struct text *text)
{
    size_t total = verdict_count(assessment, verdict), seen = 0;
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        if (d->verdict != verdict)
            continue;
        char name[80];
        claim_name_within(d->claim->name, name, sizeof name);
        const char *quote = strcmp(d->claim->as_stated, "yes") == 0 ? "'" : "";
        text_addf(text, "%s%s%s%s", seen == 0 ? "" : seen + 1 == total ? " and " : ", ", quote, name, quote);
        seen++;
    }
    return total;
}

static void sentence(const struct assessment *assessment, enum verdict verdict, const char *one, const char *many,
                     struct text *text)
{
    struct text list = TEXT_EMPTY;
    size_t count = list_claims(assessment, verdict, &list);
    if (list.s != NULL) {
        list.s[0] = (char)toupper((unsigned char)list.s[0]);
        text_addf(text, "%s %s. ", list.s, count == 1 ? one : many);
    }
    text_free(&list);
}

static void say_contradictions(const struct assessment *assessment, struct text *text)
{
    size_t count = assessment->contradiction_count;
    if (count > 0)
        text_addf(text, "%s ", assessment->contradictions[0].words);
    if (count > 1)
        text_addf(text, "%zu more %s not go together. ", count - 1, count == 2 ? "thing does" : "things do");
}

static void say_delivered(const struct assessment *assessment, struct text *text)
{
    const struct record *main = assessment_main(assessment);
    if (assessment->record_count == 0) {
        text_add(text, "There are no readings yet. ");
        return;
    }
    if (main == NULL) {
        text_add(text, "The readings hold no discharge. ");
        return;
    }
    const struct findings *f = &main->findings;
    char ah[64], wh[64];
    measure_print(&f->test_ah, "Ah", ah, sizeof ah);
    measure_print(&f->test_wh, "Wh", wh, sizeof wh);
    text_addf(text, "It delivered %s", ah);
    if (measure_known(&f->test_wh))
        text_addf(text, " and %s", wh);
    text_addf(text, "; it was %s before. ",
              f->full_before > 0 ? "shown to be full" : f->full_before == 0 ? "not full" : "not shown to be full");
}

static void say_charge_stop(const struct trip *trips, size_t count, enum trip_way way, struct text *text)
{
    bool seen = false;
    for (size_t k = 0; k < count; k++)
        seen |= trips[k].charging && trips[k].way == way;
    if (!seen)
        return;
    struct measure threshold = trips_pooled(trips, count, true, way, TRIP_THRESHOLD);
    struct measure degc = measure_known(&threshold) ? threshold : trips_pooled(trips, count, true, way, TRIP_DEGC);
    char shown[64];
    measure_print_in(&degc, QUANTITY_TEMPERATURE, shown, sizeof shown);
    const char *treated = way == TRIP_COLD ? "cold" : "warmth";
    if (measure_known(&degc))
        text_addf(text, "In the %s it stopped a charge at %s, %s. ", treated, shown,
                  measure_known(&threshold) ? "its threshold by slow ramps" : "where the probe lay");
    else
        text_addf(text, "In the %s it stopped a charge; at which temperature was not measured. ", treated);
}

static void say_low_stop(const struct assessment *assessment, struct text *text)
{
    for (size_t r = 0; r < assessment->record_count; r++) {
        const struct findings *f = &assessment->records[r].findings;
        char shown[64];
        if (f->low_stop_count == 0)
            continue;
        measure_print(&f->low_stops[0].end_v, "V", shown, sizeof shown);
        text_addf(text, "Empty, it stopped a discharge at %s. ", shown);
        return;
    }
}

static void say_parts(const struct assessment *assessment, struct text *text)
{
    const struct inspection *inside = &assessment->inspection;
    size_t count;
    struct trip *trips = assessment_trips(assessment, &count);
    say_charge_stop(trips, count, TRIP_COLD, text);
    say_charge_stop(trips, count, TRIP_HOT, text);
    free(trips);
    say_low_stop(assessment, text);
    if (inside->weakest < inside->count)
        text_addf(text, "Opened, of the parts in the path of its current the %s allows least, %.3g A. ",
                  inside->items[inside->weakest].item->title, inside->weakest_a);
}

/* Leaves out whole sentences at the end, but for the last. */
static void fit(const struct text *text, const char *last, char *buffer, size_t size)
{
    struct span kept = {text_string(text), text->length};
    size_t room = size - 1 - strlen(last);
    while (kept.n > room) {
        size_t n = kept.n - 1;
        while (n > 1 && !(kept.p[n - 1] == ' ' && kept.p[n - 2] == '.'))
            n--;
        kept.n = n > 1 ? n : 0;
    }
    span_copy(kept, buffer, size);
    snprintf(buffer + kept.n, size - kept.n, "%s", last);
}

void summary_write(const struct assessment *assessment, char *buffer, size_t size)
{
    struct text text = TEXT_EMPTY;
    say_contradictions(assessment, &text);
    say_delivered(assessment, &text);
    sentence(assessment, VERDICT_NOT_MET, "is not what the label says", "are not what the label says", &text);
    sentence(assessment, VERDICT_MET, "is as claimed", "are as claimed", &text);
    sentence(assessment, VERDICT_TOO_CLOSE, "is too close to call", "are too close to call", &text);
    sentence(assessment, VERDICT_NOT_EXERCISED, "was not put to the test as claimed",
             "were not put to the test as claimed", &text);
    size_t untested = verdict_count(assessment, VERDICT_NOT_TESTED);
    if (untested > NAMED_UNTESTED && untested == assessment->decision_count)
        text_addf(&text, "None of the %zu claims was looked at. ", untested);
    else if (untested > NAMED_UNTESTED) /* a list of what nobody did would bury what was found */
        text_addf(&text, "%zu more claims were not looked at. ", untested);
    else
        sentence(assessment, VERDICT_NOT_TESTED, "was not looked at", "were not looked at", &text);
    if (assessment->record_count > 0 || assessment->has_opened) {
        say_parts(assessment, &text);
        untested_say(assessment, &text);
    }
    fit(&text, "One sample is one sample.", buffer, size);
    text_free(&text);
}
