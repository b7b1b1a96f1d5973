#include "check.h"

#include "../book/scratch_book.h"
#include "archive/stored.h"
#include "claims/assessment.h"
#include "claims/plan_ticks.h"
#include "claims/planned.h"

static const char pack[] = "[sample]\nname = Hut pack 21\n[claims]\nnominal voltage = 12.8 V\ncapacity = 52.5 Ah\n"
                           "continuous current = 50 A\n";
static const char bench[] = "[current]\naccuracy = 0.7 % + 3 digits\nresolution = 0.01 A\n";
static const char lamps[] = "[lamp bank]\npower = 170 W\n";
static struct message message;
static struct scratch scratch;

static int64_t put(struct book *book, int64_t sample, enum document_kind kind, const char *name, const char *text, int64_t utc_ns)
{
    int64_t id = 0;
    CHECK(document_put(book, sample, kind, name, span_of(text), utc_ns, &id, &message) == STATUS_OK);
    return id;
}

static int64_t a_sample(struct book *book, const char *label)
{
    int64_t id = 0;
    CHECK(book_sample_add(book, "hut pack 21", true, 1, &id, &message) == STATUS_OK);
    if (label != NULL)
        put(book, id, DOCUMENT_LABEL, "label", label, 1);
    return id;
}

static const struct plan_wish as_before = {.rig = PLANNED_AS_BEFORE, .loads = PLANNED_AS_BEFORE};

static enum status make(struct book *book, int64_t sample, const struct plan_wish *wish, struct planned *planned)
{
    *planned = planned_empty();
    enum status status = planned_take(book, sample, wish, planned, &message);
    return status == STATUS_OK ? planned_make(planned, &message) : status;
}

TEST(papers_stand_in_their_order)
{
    struct planned planned;
    scratch_open(&scratch);
    int64_t sample = a_sample(scratch.book, pack);
    CHECK(make(scratch.book, sample, &as_before, &planned) == STATUS_OK);
    CHECK(!planned.has_rig && !planned.has_loads && planned.saved_id == 0 && !planned_is_saved(&planned));
    CHECK_TEXT(planned.plan.base.words, "any steady load");
    planned_free(&planned);
    int64_t ours = put(scratch.book, 0, DOCUMENT_RIG, "bench.rig", bench, 2);
    int64_t wide = put(scratch.book, 0, DOCUMENT_RIG, "field.rig", "[current]\naccuracy = 2 %\n", 3);
    int64_t loads = put(scratch.book, sample, DOCUMENT_LOADS, "lamps", lamps, 4);
    CHECK(make(scratch.book, sample, &as_before, &planned) == STATUS_OK);
    CHECK(planned.rig_id == wide && planned.loads_id == loads); /* the last put */
    CHECK_TEXT(planned.plan.base.words, "lamp bank");
    planned_free(&planned);
    struct plan_wish wish = {.rig = ours, .loads = PLANNED_NONE, .start_chosen = true, .start_clock_s = 9.5 * 3600};
    CHECK(make(scratch.book, sample, &wish, &planned) == STATUS_OK);
    CHECK(planned.rig_id == ours && !planned.has_loads);
    CHECK(planned_save(scratch.book, sample, &planned, 5, &message) == STATUS_OK && planned_is_saved(&planned));
    int64_t saved = planned.saved_id;
    planned_free(&planned);
    CHECK(make(scratch.book, sample, &as_before, &planned) == STATUS_OK); /* as it was saved */
    CHECK(planned.rig_id == ours && !planned.has_loads && planned.saved_id == saved && planned_is_saved(&planned));
    CHECK_NEAR(planned.plan.start_clock_s, 9.5 * 3600, 0);
    planned_free(&planned);
    put(scratch.book, 0, DOCUMENT_RIG, "bench.rig", "[current]\naccuracy = 0.2 %\n", 6);
    CHECK(make(scratch.book, sample, &as_before, &planned) == STATUS_OK);
    CHECK(planned.rig_id > ours && !planned_is_saved(&planned)); /* the burst follows the rig's accuracy */
    planned_free(&planned);
    scratch_remove(&scratch);
}

TEST(what_is_missing_is_said)
{
    struct planned planned;
    scratch_open(&scratch);
    int64_t bare = a_sample(scratch.book, NULL);
    CHECK(make(scratch.book, bare, &as_before, &planned) == STATUS_USAGE);
    CHECK(strstr(message.what, "no label") != NULL && message.remedy[0] != '\0');
    planned_free(&planned);
    int64_t label = put(scratch.book, bare, DOCUMENT_LABEL, "label", "[claims]\nmass = 11 kg\n", 2);
    CHECK(make(scratch.book, bare, &as_before, &planned) == STATUS_MALFORMED && strstr(message.what, "no capacity") != NULL);
    planned_free(&planned);
    struct plan_wish wish = {.rig = label};
    CHECK(make(scratch.book, bare, &wish, &planned) == STATUS_USAGE && strstr(message.what, "is no rig") != NULL);
    planned_free(&planned);
    wish = (struct plan_wish){.rig = 4711};
    CHECK(make(scratch.book, bare, &wish, &planned) == STATUS_USAGE);
    planned_free(&planned);
    CHECK(make(scratch.book, 99, &as_before, &planned) == STATUS_USAGE);
    planned_free(&planned);
    scratch_remove(&scratch);
}

TEST(ticks_are_kept_with_their_plan)
{
    struct plan_ticks ticks;
    scratch_open(&scratch);
    int64_t sample = a_sample(scratch.book, pack);
    CHECK(plan_ticks_read(scratch.book, sample, 7, &ticks, &message) == STATUS_OK && isnan(ticks.done_utc_s[0]));
    CHECK(plan_ticks_set(scratch.book, sample, 7, 0, 1764061865.25, 1, &message) == STATUS_OK);
    CHECK(plan_ticks_set(scratch.book, sample, 7, 2, 1764065465.5, 2, &message) == STATUS_OK);
    CHECK(plan_ticks_read(scratch.book, sample, 7, &ticks, &message) == STATUS_OK);
    CHECK_NEAR(ticks.done_utc_s[0], 1764061865.25, 1e-6);
    CHECK(isnan(ticks.done_utc_s[1]));
    CHECK_NEAR(ticks.done_utc_s[2], 1764065465.5, 1e-6);
    CHECK(plan_ticks_set(scratch.book, sample, 7, 0, NAN, 3, &message) == STATUS_OK);
    CHECK(plan_ticks_read(scratch.book, sample, 7, &ticks, &message) == STATUS_OK && isnan(ticks.done_utc_s[0]));
    CHECK(plan_ticks_read(scratch.book, sample, 8, &ticks, &message) == STATUS_OK && isnan(ticks.done_utc_s[2]));
    CHECK(plan_ticks_set(scratch.book, sample, 7, PLAN_STEPS, 1, 3, &message) == STATUS_USAGE);
    int64_t note = 0;
    CHECK(document_latest(scratch.book, sample, DOCUMENT_NOTE, NULL, &note, &message) == STATUS_OK && note != 0);
    put(scratch.book, sample, DOCUMENT_NOTE, "steps of the plan", "\x01 spilled [coffee", 4);
    CHECK(plan_ticks_read(scratch.book, sample, 7, &ticks, &message) == STATUS_OK && isnan(ticks.done_utc_s[2]));
    scratch_remove(&scratch);
}

static size_t departures(const char *path, int64_t run, const char *part)
{
    char name[300];
    const char *logs[] = {name};
    struct assessment a;
    size_t count = 0;
    snprintf(name, sizeof name, "%s:%lld", path, (long long)run);
    struct assess_request request = {.logs = logs, .log_count = 1};
    CHECK(assess(&request, &a, &message) == STATUS_OK);
    for (size_t k = 0; k < a.notices.count; k++)
        count += strcmp(a.notices.items[k].topic, "plan") == 0 && strstr(a.notices.items[k].text, part) != NULL;
    assessment_free(&a);
    return count;
}

/* The demo's discharge read by eye, about 40 W short of this plan. */
TEST(the_books_plan_is_held_against_its_run)
{
    scratch_open(&scratch);
    int64_t sample = a_sample(scratch.book, pack), before = 0, after = 0;
    struct stored_request request = {.run = {.sample = sample, .kind = TEST_DISCHARGE, .added_utc_ns = 10}};
    CHECK(stored_readings(scratch.book, &request, "demo/bivouac-pack.readings", &before, &message) == STATUS_OK);
    put(scratch.book, sample, DOCUMENT_PLAN, "plan", "[plan]\nsample = Hut pack 21\nbase power = 900 W\n", 20);
    request.run.added_utc_ns = 20;
    CHECK(stored_readings(scratch.book, &request, "demo/bivouac-pack.readings", &after, &message) == STATUS_OK);
    put(scratch.book, sample, DOCUMENT_PLAN, "plan", "[plan]\nsample = Hut pack 21\nbase power = 30 W\n", 30);
    CHECK(departures(scratch.path, before, "") == 0); /* there was none then */
    CHECK(departures(scratch.path, after, "planned 900 W") == 1);
    request.run.added_utc_ns = 40;
    put(scratch.book, sample, DOCUMENT_PLAN, "plan", "as we like it", 40);
    CHECK(stored_readings(scratch.book, &request, "demo/bivouac-pack.readings", &after, &message) == STATUS_OK);
    CHECK(departures(scratch.path, after, "cannot be read") == 1);
    scratch_remove(&scratch);
}
