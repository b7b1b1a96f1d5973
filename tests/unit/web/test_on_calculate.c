#include "asking.h"

static const json_t *fault_of(const struct asking *a, size_t k)
{
    return json_array_get(json_object_get(a->json, "faults"), k);
}

TEST(what_is_asked_is_answered_with_what_it_stands_on)
{
    static const struct http_pair asked[] = {{"size", "2 x 8 AWG"}, {"length", "31 cm"}, {"current", "61"}, {"burst", ""},
                                             {"closed", "yes"}, {NULL, NULL}};
    struct asking a;
    asking_open(&a);
    CHECK(ask_with(&a, calculate_routes, "GET", "/api/calculate/wire", asked, NULL) == 200);
    const json_t *result = json_object_get(a.json, "result");
    CHECK(json_array_size(json_object_get(result, "at")) == 1); /* what is empty has not been filled in */
    CHECK(json_array_size(json_object_get(a.json, "rows")) > 5 && json_array_size(json_object_get(a.json, "faults")) == 0);
    CHECK(json_array_size(json_object_get(result, "assumed")) > 3);
    CHECK(json_array_size(json_object_get(a.json, "sources")) > 2);
    CHECK(strstr(asking_words(a.json, "caution"), "Local codes") != NULL);
    CHECK_TEXT(asking_words(a.json, "method"), "docs/teardown.md");
    asking_close(&a);
}

TEST(every_fault_stands_at_its_field)
{
    static const struct http_pair torn[] = {{"length", "22"}, {"size", "ten"}, {"current", "3 A"}, {"colour", "red"}, {NULL, NULL}},
                                  half[] = {{"size", "10 AWG"}, {NULL, NULL}};
    struct asking a;
    asking_open(&a);
    CHECK(ask_with(&a, calculate_routes, "GET", "/api/calculate/wire", torn, NULL) == 200);
    CHECK(json_array_size(json_object_get(a.json, "faults")) == 3);
    CHECK_TEXT(asking_words(fault_of(&a, 0), "field"), "length");
    CHECK_TEXT(asking_words(fault_of(&a, 1), "field"), "size");
    CHECK_TEXT(asking_words(fault_of(&a, 2), "field"), "colour");
    CHECK(asking_words(fault_of(&a, 0), "remedy")[0] != '\0');
    CHECK(json_is_null(json_object_get(a.json, "result")));
    CHECK(ask_with(&a, calculate_routes, "GET", "/api/calculate/wire", half, NULL) == 200);
    CHECK_TEXT(asking_words(fault_of(&a, 0), "field"), ""); /* something is missing */
    CHECK(ask(&a, calculate_routes, "GET", "/api/calculate/casesize", NULL) == 200);
    CHECK(json_is_null(json_object_get(a.json, "result")) && json_is_null(json_object_get(a.json, "caution")));
    CHECK(ask(&a, calculate_routes, "GET", "/api/calculate/short-circuit", NULL) == 404);
    asking_close(&a);
}
