#include "made.h"

#include "report/json.h"

#include "base/json_value.h"

static json_t *read_back(const struct text *text)
{
    json_error_t error;
    json_t *root = json_loads(text_string(text), 0, &error);
    if (root == NULL)
        CHECK_TEXT(error.text, "");
    return root;
}

static json_t *document_of(const struct assessment *assessment)
{
    struct text text = TEXT_EMPTY;
    json_assessment(assessment, &text);
    json_t *root = read_back(&text);
    text_free(&text);
    return root;
}

static const char *word(const json_t *object, const char *key)
{
    return json_string_value(json_object_get(object, key));
}

TEST(what_is_not_known_is_null_with_its_reason)
{
    struct made made;
    made_start(&made, "[claims]\ncapacity = 60 Ah | case\ncharging stops when cold = yes\n");
    made_decide(&made, 0, VERDICT_TOO_CLOSE, made_measure(61.2, 0.4, 0.05), "61.2 Ah", "", "");
    made.decisions[0].probability = 0.5;
    json_t *root = document_of(&made.assessment), *claims = json_object_get(root, "claims");
    json_t *first = json_array_get(claims, 0), *second = json_array_get(claims, 1);
    const json_t *measured = json_object_get(first, "measured");
    CHECK_TEXT(word(first, "claim"), "capacity");
    CHECK_TEXT(word(first, "verdict"), "too close to call");
    CHECK_NEAR(json_number_value(json_object_get(measured, "value")), 61.2, 1e-9);
    CHECK_NEAR(json_number_value(json_object_get(measured, "standard_uncertainty")), sqrt(0.16 / 3 + 0.0025), 1e-9);
    CHECK(json_object_get(measured, "cannot_tell") == NULL);
    CHECK(json_array_size(json_object_get(measured, "budget")) == 2);
    CHECK(json_is_null(json_object_get(second, "stated")) && json_is_null(json_object_get(second, "probability")));
    measured = json_object_get(second, "measured");
    CHECK(json_is_null(json_object_get(measured, "value")) && json_is_null(json_object_get(measured, "standard_uncertainty")));
    CHECK_TEXT(word(measured, "cannot_tell"), "nothing in the readings bears on it");
    json_decref(root);
    made_end(&made);
}

TEST(infinities_are_null)
{
    struct run run = {.kind = RUN_REST, .end_s = INFINITY, .charge_ah = measure_of(NAN), .energy_wh = measure_of(-INFINITY),
                      .mean_a = NAN};
    struct record record = {.by_eye = true, .findings = {.runs = &run, .run_count = 1}};
    struct assessment a = {.records = &record, .record_count = 1, .label = label_empty()};
    json_t *root = document_of(&a), *read = json_array_get(json_object_get(root, "runs"), 0);
    CHECK(json_is_null(json_object_get(read, "end_s")) && json_is_null(json_object_get(read, "mean_a")));
    CHECK(json_is_null(json_object_get(json_object_get(read, "energy_wh"), "value")));
    CHECK(json_is_null(json_array_get(json_object_get(root, "tests"), 0))); /* holds no test */
    json_decref(root);
}

TEST(hostile_words_stay_words)
{
    struct record record = {.path = "a\"b\\c\n\t\x01\xff\xc3(\xf0\x9f\x94\x8b.csv"};
    struct column_choice column = {.number = 1, .header = "</script>\x80", .why = "\xe2\x82"};
    record.log.columns = &column;
    record.log.column_count = 1;
    struct assessment a = {.records = &record, .record_count = 1, .label = label_empty()};
    json_t *root = document_of(&a);
    CHECK_TEXT(word(json_array_get(json_object_get(root, "logs"), 0), "path"),
               "a\"b\\c\n\t\x01\xef\xbf\xbd\xef\xbf\xbd(\xf0\x9f\x94\x8b.csv");
    const json_t *read = json_array_get(json_object_get(root, "columns"), 0);
    CHECK_TEXT(word(read, "header"), "</script>\xef\xbf\xbd");
    CHECK_TEXT(word(read, "why"), "\xef\xbf\xbd\xef\xbf\xbd");
    json_decref(root);
}

TEST(totals_of_several_logs_share_their_rig)
{
    struct record records[2] = {0};
    for (int k = 0; k < 2; k++)
        records[k] = (struct record){.by_eye = true, .findings = {.discharge_ah = made_measure(50, 0.5, 0),
                                                                  .discharge_wh = measure_unknown("no volts"),
                                                                  .charge_ah = made_measure(10, 0.1, 0),
                                                                  .charge_wh = measure_unknown("no volts")}};
    struct assessment a = {.records = records, .record_count = 2, .label = label_empty()};
    json_t *root = document_of(&a), *totals = json_object_get(root, "totals"), *ah = json_object_get(totals, "discharge_ah");
    CHECK_NEAR(json_number_value(json_object_get(ah, "value")), 100, 1e-9);
    CHECK_NEAR(json_number_value(json_object_get(ah, "standard_uncertainty")), 1 / sqrt(3), 1e-9); /* one gain, added linearly */
    CHECK_TEXT(word(json_object_get(totals, "discharge_wh"), "cannot_tell"), "no volts");
    json_decref(root);
}

TEST(the_plan_as_json)
{
    struct made made;
    made_start(&made, "[sample]\nname = Sample 33\n[claims]\ncapacity = 60 Ah\ncycle life = 3000\n");
    struct rig rig = rig_default();
    struct plan plan = plan_make(&made.assessment.label, &rig, NULL);
    struct text text = TEXT_EMPTY;
    json_plan(&plan, &text);
    json_t *root = read_back(&text);
    CHECK_TEXT(word(root, "sample"), "Sample 33");
    CHECK(json_integer_value(json_object_get(root, "form")) == JSON_FORM);
    CHECK(json_array_size(json_object_get(root, "claims")) == 2);
    CHECK(json_array_size(json_object_get(root, "protocol")) == (size_t)plan.step_count);
    CHECK_NEAR(json_number_value(json_object_get(json_object_get(root, "base"), "current_a")), 12, 1e-9);
    CHECK(json_is_null(json_object_get(json_object_get(root, "peak"), "current_a"))); /* none claimed */
    json_decref(root);
    text_free(&text);
    plan_free(&plan);
    made_end(&made);
}
