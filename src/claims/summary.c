#include "claims/summary.h"

#include "base/text.h"
#include "claims/claim_names.h"

#include <ctype.h>

enum { NAMED_UNTESTED = 3 };

/* `capacity, energy and mass`, in the words of the claims. */
static size_t list_claims(const struct assessment *assessment, enum verdict verdict, struct text *text)
{
    size_t total = verdict_count(assessment, verdict), seen = 0;
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        if (d->verdict != verdict)
            continue;
        char name[80];
        claim_name_within(d->claim->name, name, sizeof name);
        text_addf(text, "%s%s", seen == 0 ? "" : seen + 1 == total ? " and " : ", ", name);
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
    char ah[64], wh[64];
    measure_print(&main->findings.test_ah, "Ah", ah, sizeof ah);
    measure_print(&main->findings.test_wh, "Wh", wh, sizeof wh);
    if (measure_known(&main->findings.test_wh))
        text_addf(text, "Delivered %s and %s. ", ah, wh);
    else
        text_addf(text, "Delivered %s. ", ah);
}

void summary_write(const struct assessment *assessment, char *buffer, size_t size)
{
    struct text text = TEXT_EMPTY;
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
    text_add(&text, "One sample is one sample.");
    span_copy(span_of(text_string(&text)), buffer, size);
    text_free(&text);
}
