#include "base/json_value.h"
#include "check.h"

TEST(what_is_written_reads_back_to_the_last_bit)
{
    json_t *o = json_object(), *back = NULL;
    json_put(o, "volts", json_number(13.307000000000002));
    json_put(o, "nothing", json_number(0.0 / 0.0));
    json_put_words(o, "name", "hut \xff pack");
    struct text text = TEXT_EMPTY;
    json_add_text(o, true, &text);
    CHECK(json_parse("here", 1, (struct span){text.s, text.length}, &back, NULL) == STATUS_OK);
    CHECK(json_real_value(json_object_get(back, "volts")) == 13.307000000000002);
    CHECK(json_is_null(json_object_get(back, "nothing")));
    CHECK_TEXT(json_string_value(json_object_get(back, "name")), "hut \xEF\xBF\xBD pack");
    json_decref(o);
    json_decref(back);
    text_free(&text);
}

TEST(a_fault_names_its_line)
{
    json_t *none = NULL;
    struct message message;
    CHECK(json_parse("hut.book", 4, span_of("{\n \"v\": 12,\n}"), &none, &message) == STATUS_MALFORMED);
    CHECK(message.line == 6);
    CHECK(json_parse("hut.book", 1, span_of("{\"v\":1} x"), &none, &message) == STATUS_MALFORMED);
    CHECK(none == NULL);
}
