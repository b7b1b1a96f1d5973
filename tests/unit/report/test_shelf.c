#include "report/shelf.h"

#include "book/digest.h"
#include "report/json.h"
#include "unit/book/scratch_book.h"
#include "unit/report/assessed.h"

static json_t *parsed(const struct text *text)
{
    json_t *value = NULL;
    struct message message = {0};
    CHECK(json_parse("x.json", 1, (struct span){text_string(text), text->length}, &value, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    return value;
}

static json_t *assessment_json(const struct assessment *assessment)
{
    struct text text = TEXT_EMPTY;
    json_assessment(assessment, &text);
    json_t *value = parsed(&text);
    text_free(&text);
    return value;
}

static const json_t *claim_of(const json_t *assessment, const char *slug)
{
    size_t k;
    json_t *claim;
    json_array_foreach(json_object_get(assessment, "claims"), k, claim)
        if (strcmp(json_string_value(json_object_get(claim, "claim")), slug) == 0)
            return claim;
    return NULL;
}

static double number(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : NAN;
}

/* As the whole assessment says it, but for digits that no interval bears. */
static void same_measure(const json_t *brief, const json_t *whole)
{
    CHECK(brief != NULL && whole != NULL);
    CHECK_REL(number(brief, "value"), number(whole, "value"), 1e-4);
    if (json_object_get(brief, "low") != NULL) { /* elsewhere the words tell the interval */
        CHECK_REL(number(brief, "low"), number(whole, "low"), 1e-4);
        CHECK_REL(number(brief, "high"), number(whole, "high"), 1e-4);
    }
    const char *words = json_string_value(json_object_get(whole, "words"));
    CHECK_TEXT(json_string_value(json_object_get(brief, "words")), words != NULL ? words : "");
}

TEST(an_entry_says_what_the_assessment_says)
{
    struct assessment assessment = assessed_demo();
    json_t *whole = assessment_json(&assessment), *entry = shelf_json(&assessment);
    const json_t *found = json_object_get(entry, "found"), *capacity = claim_of(whole, "capacity");
    same_measure(json_object_get(found, "charge_ah"), json_object_get(capacity, "measured"));
    same_measure(json_object_get(found, "energy_wh"), json_object_get(claim_of(whole, "energy"), "measured"));
    same_measure(json_object_get(found, "mass_kg"), json_object_get(claim_of(whole, "mass"), "measured"));
    CHECK_TEXT(json_string_value(json_object_get(entry, "charge")),
               json_string_value(json_object_get(capacity, "verdict")));
    CHECK(number(json_object_get(entry, "claimed"), "charge_ah") == 100);
    CHECK(number(json_object_get(entry, "claimed"), "energy_wh") == 1280);
    CHECK_NEAR(number(json_object_get(entry, "claimed"), "volume_l"), 3.30 * 1.73 * 2.16, 1e-4);
    CHECK(json_is_true(json_object_get(entry, "invented")));
    CHECK(number(entry, "price") == 389);
    CHECK_TEXT(json_string_value(json_object_get(entry, "currency")), "EUR");
    CHECK(json_object_get(entry, "thin") == NULL);
    json_int_t claims = 0;
    const char *verdict;
    json_t *count;
    json_object_foreach(json_object_get(entry, "verdicts"), verdict, count)
        claims += json_integer_value(count);
    CHECK(claims == (json_int_t)json_array_size(json_object_get(whole, "claims")));
    json_decref(entry);
    json_decref(whole);
    assessment_free(&assessment);
}

/* u(a/b)/(a/b) = sqrt((u(a)/a)² + (u(b)/b)²) for independent a, b; likewise of products (JCGM 100:2008, 5.1.6). */
TEST(what_is_delivered_for_each_kilogram_and_litre_carries_both_uncertainties)
{
    struct assessment assessment = assessed_demo();
    struct shelf_entry entry;
    shelf_entry_of(&assessment, &entry);
    double e = entry.energy_wh.value, ue = entry.energy_wh.u / e, um = entry.mass_kg.u / entry.mass_kg.value;
    CHECK_NEAR(entry.mass_kg.value, 11.24, 1e-12);
    CHECK_REL(entry.wh_per_kg.value, e / 11.24, 1e-12);
    CHECK_REL(entry.wh_per_kg.u, entry.wh_per_kg.value * hypot(ue, um), 1e-9);
    CHECK(entry.wh_per_kg.lo < entry.wh_per_kg.value && entry.wh_per_kg.value < entry.wh_per_kg.hi);
    CHECK_REL(entry.volume_l.value, 3.29 * 1.72 * 2.14, 1e-9);
    double half = 0.01 / sqrt(3); /* each side ± 1 mm, in decimetres, rectangular */
    CHECK_REL(entry.volume_l.u, entry.volume_l.value * hypot(hypot(half / 3.29, half / 1.72), half / 2.14), 1e-6);
    CHECK_REL(entry.wh_per_price.value, e / 389, 1e-12);
    CHECK_REL(entry.wh_per_price.u, entry.energy_wh.u / 389, 1e-9);
    shelf_entry_free(&entry);
    assessment_free(&assessment);
}

TEST(thin_evidence_is_named)
{
    struct assessment eye = assessed("demo/bivouac-pack.readings", "demo/bivouac-pack.label", NULL);
    struct shelf_entry entry;
    shelf_entry_of(&eye, &entry);
    CHECK(strstr(text_string(&entry.thin), "read by eye") != NULL);
    CHECK(strstr(text_string(&entry.thin), "no rig") != NULL);
    CHECK(!measure_known(&entry.volume_l) && !measure_known(&entry.wh_per_price) && !measure_known(&entry.wh_per_l));
    shelf_entry_free(&entry);
    assessment_free(&eye);

    struct assess_request request = {.label = "demo/bivouac-pack.label"};
    struct message message = {0};
    CHECK(assess(&request, &eye, &message) == STATUS_OK);
    shelf_entry_of(&eye, &entry);
    CHECK_TEXT(text_string(&entry.thin), "no readings");
    CHECK(!measure_known(&entry.charge_ah) && !measure_known(&entry.resistance_ohm) && entry.main == NULL);
    shelf_entry_free(&entry);
    assessment_free(&eye);
}

TEST(what_is_claimed_alone_is_marked_as_such)
{
    struct assessment a = {.decide = 0.975};
    struct notices notices = {0};
    struct shelf_entry entry;
    CHECK(label_read_text("x.label", span_of("[claims]\nmass = 5 kg\nsize = 200 x 100 x 100 mm\n"), &a.label, &notices, NULL) ==
          STATUS_OK);
    shelf_entry_of(&a, &entry);
    CHECK(entry.mass_claimed && entry.volume_claimed && entry.mass_kg.value == 5);
    CHECK_NEAR(entry.volume_l.value, 2, 1e-9);
    CHECK(isnan(entry.volume_l.lo));
    shelf_entry_free(&entry);
    notices_free(&notices);
    assessment_free(&a);
}

TEST(hostile_and_empty_assessments_make_entries)
{
    struct assessment hostile = made(24);
    json_t *entry = shelf_json(&hostile);
    struct text text = TEXT_EMPTY;
    json_add_text(entry, true, &text);
    CHECK(span_bad_utf8((struct span){text_string(&text), text.length}) == text.length);
    text_free(&text);
    json_decref(entry);
    made_free(&hostile);
}

TEST(the_shelf_of_a_book_holds_a_row_a_sample)
{
    struct scratch scratch;
    struct text basis = TEXT_EMPTY, json = TEXT_EMPTY;
    int64_t first = 0, second = 0;
    size_t stale = 0;
    struct assessment assessment = assessed_demo();
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, "Hut \"pack\" 1", true, 1790000000123456789, &first, NULL) == STATUS_OK);
    CHECK(book_sample_add(scratch.book, "Hut pack 2", false, 1790000000123456789, &second, NULL) == STATUS_OK);
    CHECK(digest_basis(scratch.book, first, &basis, NULL) == STATUS_OK);
    CHECK(shelf_keep(scratch.book, first, &basis, &assessment, 1, NULL) == STATUS_OK);
    CHECK(shelf_list(scratch.book, 0, &json, &stale, NULL) == STATUS_OK && stale == 1);
    json_t *list = parsed(&json), *rows = json_object_get(list, "samples");
    CHECK(json_array_size(rows) == 2);
    const json_t *one = json_array_get(rows, 0), *two = json_array_get(rows, 1);
    CHECK_TEXT(json_string_value(json_object_get(one, "name")), "Hut \"pack\" 1");
    CHECK_TEXT(json_string_value(json_object_get(one, "added")), "2026-09-21T14:13:20Z");
    CHECK(json_is_true(json_object_get(one, "fresh")) && json_is_false(json_object_get(two, "fresh")));
    CHECK(json_is_null(json_object_get(two, "digest")));
    json_t *entry = shelf_json(&assessment);
    const json_t *kept = json_object_get(one, "digest"), *found = json_object_get(kept, "found");
    same_measure(json_object_get(found, "charge_ah"), json_object_get(json_object_get(entry, "found"), "charge_ah"));
    CHECK(json_equal(json_object_get(entry, "verdicts"), json_object_get(kept, "verdicts")));
    json_decref(entry);
    json_decref(list);
    text_free(&basis);
    text_free(&json);
    assessment_free(&assessment);
    scratch_remove(&scratch);
}

TEST(stale_digests_are_made_again_and_what_cannot_be_assessed_says_why)
{
    struct scratch scratch;
    struct text json = TEXT_EMPTY;
    int64_t good = 0, bad = 0, id = 0;
    size_t made = 0, stale = 9;
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, "Hut pack 1", true, 1, &good, NULL) == STATUS_OK);
    CHECK(book_sample_add(scratch.book, "Hut pack 2", true, 1, &bad, NULL) == STATUS_OK);
    CHECK(document_put(scratch.book, good, DOCUMENT_LABEL, "label", span_of("[claims]\ncapacity = 100 Ah\n"), 1, &id, NULL) ==
          STATUS_OK);
    CHECK(document_put(scratch.book, bad, DOCUMENT_LABEL, "label", span_of("[claims]\ncapacity = lots\n"), 1, &id, NULL) ==
          STATUS_OK);
    CHECK(shelf_refresh(scratch.book, 2, NULL, NULL, &made, NULL) == STATUS_OK && made == 2);
    CHECK(shelf_refresh(scratch.book, 3, NULL, NULL, &made, NULL) == STATUS_OK && made == 0);
    CHECK(shelf_list(scratch.book, 0, &json, &stale, NULL) == STATUS_OK && stale == 0);
    json_t *list = parsed(&json), *rows = json_object_get(list, "samples");
    const json_t *one = json_object_get(json_array_get(rows, 0), "digest");
    CHECK(number(json_object_get(one, "claimed"), "charge_ah") == 100);
    CHECK(json_integer_value(json_object_get(json_object_get(one, "verdicts"), "not tested")) == 1);
    CHECK(json_is_string(json_object_get(json_object_get(json_array_get(rows, 1), "digest"), "fault")));
    json_decref(list);
    text_free(&json);
    scratch_remove(&scratch);
}
