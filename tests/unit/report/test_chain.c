#include "assessed.h"

#include "report/account.h"
#include "report/chain.h"
#include "report/explain.h"

static struct finding_chain chain_of(const struct assessment *assessment, const char *finding)
{
    struct finding_chain chain = {0};
    struct message message = {0};
    CHECK(chain_make(assessment, finding, &chain, &message) == STATUS_OK);
    return chain;
}

static const struct chain_link *first_of(const struct finding_chain *chain, enum chain_kind kind)
{
    for (size_t k = 0; k < chain->count; k++)
        if (chain->links[k].kind == kind)
            return &chain->links[k];
    return NULL;
}

TEST(the_chain_of_the_charge_ends_at_the_readings_of_the_test)
{
    struct assessment demo = assessed_demo();
    const struct findings *f = &demo.records[0].findings;
    const struct series *series = &demo.records[0].log.series;
    struct finding_chain chain = chain_of(&demo, "charge");
    const struct chain_link *measure = first_of(&chain, CHAIN_MEASURE), *readings = first_of(&chain, CHAIN_READINGS);
    CHECK(measure != NULL && readings != NULL);
    CHECK_NEAR(measure->measure.value, f->test_ah.value, 0);
    CHECK(readings->first > 1 && readings->last > readings->first && (size_t)readings->last <= series->count);
    CHECK(series->t_s[readings->first - 1] >= f->test_start_s && series->t_s[readings->first - 2] < f->test_start_s);
    CHECK(series->t_s[readings->last - 1] <= f->test_end_s);
    chain_free(&chain);
    assessment_free(&demo);
}

TEST(by_eye_the_lines_as_typed_are_named)
{
    struct assessment demo = assessed("demo/hut-pack.readings", "demo/hut-pack.label", NULL);
    struct finding_chain chain = chain_of(&demo, "energy");
    const struct chain_link *readings = first_of(&chain, CHAIN_READINGS);
    const struct sightings *s = &demo.records[0].sightings;
    CHECK(readings != NULL && readings->first >= s->instants[0].line && readings->last <= s->instants[s->count - 1].line);
    CHECK(readings->last > readings->first);
    chain_free(&chain);
    assessment_free(&demo);
}

/* Whatever stands in the chain is printed, and whatever has a number has its budget as JSON. */
TEST(words_and_json_tell_the_same)
{
    struct assessment demo = assessed_demo();
    for (int f = 0; chain_findings[f] != NULL; f++) {
        struct finding_chain chain = chain_of(&demo, chain_findings[f]);
        struct text text = TEXT_EMPTY;
        struct message message = {0};
        CHECK(explain_finding(&demo, chain_findings[f], 4000, &text, &message) == STATUS_OK);
        json_t *json = json_chain(&chain), *links = json_object_get(json, "links");
        CHECK(json_array_size(links) == chain.count);
        for (size_t k = 0; k < chain.count; k++) {
            const struct chain_link *link = &chain.links[k];
            json_t *one = json_array_get(links, k);
            CHECK(strstr(text.s, link->title) != NULL && strstr(text.s, link->words) != NULL);
            if (link->kind != CHAIN_MEASURE)
                continue;
            json_t *measure = json_object_get(one, "measure");
            const char *words = json_string_value(json_object_get(measure, "words"));
            CHECK(words == NULL || strstr(text.s, words) != NULL || link->measure.count == 0);
            CHECK(json_array_size(json_object_get(measure, "budget")) == (size_t)link->measure.count);
        }
        json_decref(json);
        text_free(&text);
        chain_free(&chain);
    }
    assessment_free(&demo);
}

TEST(tables_keep_their_cells_and_lose_their_marks_of_emphasis)
{
    struct assessment demo = assessed_demo();
    struct finding_chain chain = chain_of(&demo, "burst");
    json_t *json = json_chain(&chain);
    json_t *table = json_array_get(json_object_get(json, "links"), 0);
    const char *words = json_string_value(json_array_get(json_array_get(json_object_get(table, "rows"), 0), 1));
    CHECK(words != NULL && strstr(words, "Cost") != NULL);
    for (const char *p = words; p != NULL && *p != '\0'; p++)
        CHECK((unsigned char)*p >= ' ');
    json_decref(json);
    chain_free(&chain);
    assessment_free(&demo);
}

TEST(a_claim_of_a_protection_leads_to_the_stop)
{
    struct assessment cold = assessed("demo/hut-pack.cold.csv", "demo/hut-pack.label", "demo/hut-pack.rig");
    const struct trip *trip = &cold.records[0].findings.trips[0];
    struct finding_chain chain = chain_of(&cold, "charging-stops-when-cold");
    struct text text = TEXT_EMPTY;
    struct message message;
    CHECK(explain_finding(&cold, "charging-stops-when-cold", 4000, &text, &message) == STATUS_OK);
    CHECK(strstr(text.s, "found: stopped at 1.") != NULL && strstr(text.s, trip->words) != NULL);
    CHECK(strstr(text.s, "cannot tell") == NULL && strstr(text.s, "no discharge") == NULL);
    const struct chain_link *threshold = first_of(&chain, CHAIN_MEASURE);
    CHECK(threshold != NULL && threshold->measure.value == trip->threshold_degc.value);
    text_free(&text);
    chain_free(&chain);
    assessment_free(&cold);
}
