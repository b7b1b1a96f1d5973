#include "asking.h"

static const json_t *opened_of(const struct asking *a)
{
    return json_object_get(a->json, "opened");
}

static const json_t *item_of(const struct asking *a, size_t k)
{
    return json_array_get(json_object_get(opened_of(a), "items"), k);
}

TEST(a_closed_case_has_steps_and_cautions)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask(&a, opened_routes, "GET", "/api/samples/1/opened", NULL) == 200);
    CHECK(json_is_false(json_object_get(a.json, "begun")));
    CHECK(json_array_size(json_object_get(opened_of(&a), "items")) == 0);
    CHECK(json_array_size(json_object_get(opened_of(&a), "steps")) > 3);
    CHECK(json_array_size(json_object_get(a.json, "cautions")) > 3);
    CHECK(json_array_size(json_object_get(a.json, "kinds")) == OPENED_KINDS);
    CHECK(ask(&a, opened_routes, "GET", "/api/samples/77/opened", NULL) == 404);
    asking_close(&a);
}

TEST(an_item_is_put_changed_and_taken_out)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask(&a, opened_routes, "POST", "/api/samples/1/opened",
              "[conductor main +]\nsize = 10 AWG\nlength = 30 cm\ninsulation = 105 °C\nfrom = cell\nto = terminal\n") == 200);
    CHECK_TEXT(asking_words(item_of(&a, 0), "slug"), "conductor-main");
    CHECK(strstr(asking_words(item_of(&a, 0), "against"), "continuous") != NULL); /* the made label claims 100 A */
    CHECK(ask(&a, opened_routes, "POST", "/api/samples/1/opened", "[board]\nrating = 80 A\n") == 200);
    CHECK(json_array_size(json_object_get(opened_of(&a), "items")) == 2);
    CHECK(ask(&a, opened_routes, "PUT", "/api/samples/1/opened/board", "[board]\nrating = 120 A\n") == 200);
    CHECK_NEAR(json_number_value(json_object_get(item_of(&a, 1), "limit_a")), 120, 1e-9);
    CHECK(ask(&a, opened_routes, "DELETE", "/api/samples/1/opened/board", NULL) == 200);
    CHECK(json_array_size(json_object_get(opened_of(&a), "items")) == 1);
    CHECK(ask(&a, opened_routes, "DELETE", "/api/samples/1/opened/board", NULL) >= 400);
    CHECK(ask(&a, opened_routes, "GET", "/api/samples/1/opened", NULL) == 200);
    CHECK(json_is_true(json_object_get(a.json, "begun")));
    asking_close(&a);
}

/* Told with the item's own lines, and nothing is kept. */
TEST(what_cannot_be_read_is_told_where_it_stands)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask(&a, opened_routes, "POST", "/api/samples/1/opened", "[conductor]\nsize = 10 AWG\nlength = 30\n") == 400);
    CHECK(json_integer_value(json_object_get(json_object_get(a.json, "fault"), "line")) == 3);
    CHECK(asking_fault(&a, "remedy")[0] != '\0');
    CHECK(ask(&a, opened_routes, "POST", "/api/samples/1/opened", "[flux capacitor]\n") == 400);
    CHECK(ask(&a, opened_routes, "POST", "/api/samples/1/opened", NULL) == 400);
    CHECK(ask(&a, opened_routes, "PUT", "/api/samples/1/opened/board", "[board]\n[fuse]\n") >= 400);
    CHECK(ask(&a, opened_routes, "GET", "/api/samples/1/opened", NULL) == 200);
    CHECK(json_is_false(json_object_get(a.json, "begun")));
    asking_close(&a);
}

TEST(without_pictures_there_are_no_codes)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask(&a, opened_routes, "POST", "/api/samples/1/codes", NULL) == 200);
    CHECK(asking_number(a.json, "pictures") == 0 && asking_number(a.json, "added") == 0);
    asking_close(&a);
}
