#include "http/http.h"
#include "check.h"

TEST(a_number_is_read_or_named)
{
    double value = -1;
    struct message message = {0};
    CHECK(http_number("points", "250", 1, 1000, NAN, &value, &message) == STATUS_OK && value == 250);
    CHECK(http_number("points", NULL, 1, 1000, 400, &value, &message) == STATUS_OK && value == 400);
    CHECK(http_number("points", "1001", 1, 1000, 400, &value, &message) == STATUS_USAGE);
    CHECK(strstr(message.what, "points") != NULL && strstr(message.what, "1001") != NULL && value == 400);
    static const char *const wrong[] = {"", "x", "1x", "nan", "inf", "1e999", "--1", "0x10", "1 2"};
    for (size_t k = 0; k < sizeof wrong / sizeof *wrong; k++)
        CHECK(http_number("points", wrong[k], -1e300, 1e300, 400, &value, &message) == STATUS_USAGE);
    CHECK(http_number("points", NULL, 1, 1000, NAN, &value, &message) == STATUS_USAGE);
    CHECK(strstr(message.what, "missing") != NULL);
}

TEST(an_id_counts_from_one)
{
    int64_t id = -1;
    struct message message;
    CHECK(http_id("12", &id, &message) == STATUS_OK && id == 12);
    static const char *const wrong[] = {"", "0", "-1", "+1", "01", "1.0", "1e3", " 1", "1 ", "x", "99999999999999999999",
                                        "9223372036854775808"};
    for (size_t k = 0; k < sizeof wrong / sizeof *wrong; k++)
        if (http_id(wrong[k], &id, &message) != STATUS_USAGE)
            test_failed(__FILE__, __LINE__, wrong[k]);
    CHECK(id == 12);
}

TEST(a_body_is_an_object_or_a_fault)
{
    json_t *object = NULL;
    struct message message;
    struct http_request request = {.body = span_of("{\"code\": \"ABC\"}")};
    CHECK(http_body_json(&request, &object, &message) == STATUS_OK);
    CHECK_TEXT(json_string_value(json_object_get(object, "code")), "ABC");
    json_decref(object);
    static const char *const wrong[] = {"", " ", "[]", "3", "null", "{", "{\"a\":1,\"a\":2}", "{\"a\":\"\xff\"}", "{} x"};
    for (size_t k = 0; k < sizeof wrong / sizeof *wrong; k++) {
        request.body = span_of(wrong[k]);
        if (http_body_json(&request, &object, &message) != STATUS_MALFORMED)
            test_failed(__FILE__, __LINE__, wrong[k]);
    }
}

TEST(a_fault_is_said_with_its_place_and_remedy)
{
    struct http_reply reply = {.type = "text/plain", .kept = true};
    struct message message = {0};
    text_add(&reply.body, "half an answer");
    status_fail(&message, STATUS_MALFORMED, "the \"rated\" line holds no number");
    status_at(&message, "label.ini", 3, 9);
    status_remedy(&message, "write it as 100 Ah");
    http_fail(&reply, 0, &message);
    CHECK(reply.status == 400 && reply.type == NULL && !reply.kept);
    CHECK_TEXT(text_string(&reply.body),
               "{\"fault\":{\"what\":\"the \\\"rated\\\" line holds no number\",\"remedy\":\"write it as 100 Ah\","
               "\"file\":\"label.ini\",\"line\":3,\"column\":9}}");
    status_fail(&message, STATUS_AMBIGUOUS, "which?");
    http_fail(&reply, 0, &message);
    CHECK(reply.status == 409);
    status_fail(&message, STATUS_UNREADABLE, "gone");
    http_fail(&reply, 404, &message);
    CHECK(reply.status == 404);
    text_free(&reply.body);
}

TEST(a_query_gives_the_first_of_a_name)
{
    static const struct http_pair pairs[] = {{"a", "1"}, {"b", ""}, {"a", "2"}, {NULL, NULL}};
    struct http_request request = {.query = pairs};
    CHECK_TEXT(http_query(&request, "a"), "1");
    CHECK_TEXT(http_query(&request, "b"), "");
    CHECK(http_query(&request, "c") == NULL);
    request.query = NULL;
    CHECK(http_query(&request, "a") == NULL);
}
