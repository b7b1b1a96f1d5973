#include "asking.h"

static const struct http_pair of_sample[] = {{"sample", "1"}, {NULL, NULL}};

static const json_t *part_of(const struct asking *a, const char *name)
{
    const json_t *parts = json_object_get(a->json, "parts");
    for (size_t k = 0; k < json_array_size(parts); k++)
        if (strcmp(asking_words(json_array_get(parts, k), "part"), name) == 0)
            return json_array_get(parts, k);
    return NULL;
}

static bool has_number(const struct asking *a, const char *words)
{
    const json_t *numbers = json_object_get(a->json, "numbers");
    for (size_t k = 0; k < json_array_size(numbers); k++)
        if (strcmp(asking_words(json_array_get(numbers, k), "words"), words) == 0)
            return true;
    return false;
}

TEST(the_list_names_the_claims_of_the_sample)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask_with(&a, guide_routes, "GET", "/api/guides", of_sample, NULL) == 200);
    CHECK_TEXT(asking_words(a.json, "sample"), "Sample 014"); /* as its label has it */
    const json_t *cold = json_array_get(json_object_get(a.json, "guides"), 1);
    CHECK_TEXT(asking_words(cold, "test"), "cold-charge");
    CHECK(json_array_size(json_object_get(cold, "claims")) == json_array_size(json_object_get(cold, "names")));
    CHECK_TEXT(json_string_value(json_array_get(json_object_get(cold, "names"), 0)), "Lowest charge temperature");
    CHECK(strstr(asking_words(a.json, "no_short_circuit"), "short circuit") != NULL);
    CHECK(ask(&a, guide_routes, "GET", "/api/guides", NULL) == 200);
    cold = json_array_get(json_object_get(a.json, "guides"), 1);
    CHECK(json_array_size(json_object_get(cold, "claims")) == 0); /* of no sample */
    asking_close(&a);
}

TEST(a_sheet_has_cautions_steps_and_the_numbers_of_the_label)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask_with(&a, guide_routes, "GET", "/api/guides/cold-charge", of_sample, NULL) == 200);
    CHECK(json_is_true(json_object_get(a.json, "invented")) && has_number(&a, "14.4 V"));
    CHECK(json_array_size(json_object_get(part_of(&a, "cautions"), "lines")) > 3);
    const json_t *step = json_array_get(json_object_get(part_of(&a, "steps"), "lines"), 1);
    CHECK_TEXT(asking_words(step, "mark"), "sensor chilled");
    CHECK(ask(&a, guide_routes, "GET", "/api/guides/cold-charge", NULL) == 200);
    CHECK(!has_number(&a, "14.4 V"));
    asking_close(&a);
}

TEST(it_is_printed_on_either_paper)
{
    static const struct http_pair letter[] = {{"sample", "1"}, {"paper", "letter"}, {NULL, NULL}},
                                  other[] = {{"paper", "a9"}, {NULL, NULL}};
    struct asking a;
    asking_open(&a);
    CHECK(ask_with(&a, guide_routes, "GET", "/api/guides/over-current/sheet.pdf", of_sample, NULL) == 200);
    CHECK_TEXT(a.reply.type, "application/pdf");
    CHECK_TEXT(a.reply.file_name, "over-current.pdf");
    CHECK(strncmp(text_string(&a.reply.body), "%PDF-", 5) == 0);
    size_t length = a.reply.body.length;
    CHECK(ask_with(&a, guide_routes, "GET", "/api/guides/over-current/sheet.pdf", letter, NULL) == 200);
    CHECK(strncmp(text_string(&a.reply.body), "%PDF-", 5) == 0 && a.reply.body.length != length);
    CHECK(ask_with(&a, guide_routes, "GET", "/api/guides/over-current/sheet.pdf", other, NULL) == 400);
    CHECK(strstr(asking_fault(&a, "remedy"), "letter") != NULL);
    asking_close(&a);
}

TEST(what_is_not_there_is_said)
{
    static const struct http_pair stranger[] = {{"sample", "77"}, {NULL, NULL}}, word[] = {{"sample", "pack"}, {NULL, NULL}};
    struct asking a;
    asking_open(&a);
    CHECK(ask(&a, guide_routes, "GET", "/api/guides/short-circuit", NULL) == 404);
    CHECK(ask(&a, guide_routes, "GET", "/api/guides/short-circuit/sheet.pdf", NULL) == 404);
    CHECK(ask_with(&a, guide_routes, "GET", "/api/guides", stranger, NULL) >= 400);
    CHECK_TEXT(asking_fault(&a, "what"), "there is no sample 77 in this book");
    CHECK_TEXT(asking_fault(&a, "remedy"), "");
    CHECK(ask_with(&a, guide_routes, "GET", "/api/guides/charge", word, NULL) == 400);
    asking_close(&a);
}
