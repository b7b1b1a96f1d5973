#include "check.h"

#include "base/text.h"

static size_t bad(const char *s)
{
    return span_bad_utf8(span_of(s));
}

/* RFC 3629, 3 and 4: the shortest and longest of each length, and what lies just outside. */
TEST(well_formed_utf8)
{
    CHECK(bad("") == 0);
    CHECK(bad("20 °C ± 1 Ω") == strlen("20 °C ± 1 Ω"));
    CHECK(bad("\x7F\xC2\x80\xDF\xBF\xE0\xA0\x80\xEF\xBF\xBF\xF0\x90\x80\x80\xF4\x8F\xBF\xBF") == 19);
    CHECK(bad("\xED\x9F\xBF\xEE\x80\x80") == 6);
    CHECK(bad("a\x80") == 1);             /* a tail alone */
    CHECK(bad("ab\xC0\xAF") == 2);        /* overlong */
    CHECK(bad("\xC1\xBF") == 0);
    CHECK(bad("\xE0\x9F\xBF") == 0);      /* overlong */
    CHECK(bad("\xED\xA0\x80") == 0);      /* a surrogate */
    CHECK(bad("\xF0\x8F\xBF\xBF") == 0);  /* overlong */
    CHECK(bad("\xF4\x90\x80\x80") == 0);  /* past U+10FFFF */
    CHECK(bad("\xF5\x80\x80\x80") == 0);
    CHECK(bad("20 \xB0" "C") == 3);       /* Latin-1 */
    CHECK(bad("x\xE2\x82") == 1);         /* cut short */
    CHECK(span_bad_utf8((struct span){"a\0b", 3}) == 1);
}

TEST(words_are_taken_one_by_one)
{
    struct span rest = span_of("  input\t18 ");
    CHECK(span_is(span_take_word(&rest), "input"));
    CHECK(span_is(span_take_word(&rest), "18"));
    CHECK(span_take_word(&rest).n == 0 && rest.n == 0);
}

TEST(a_hyphen_before_a_number_is_a_minus)
{
    static const char *const pairs[][2] = {{"-1.2 % to -0.3 %", "−1.2 % to −0.3 %"}, {"(n = -0.99 ± 0.01)", "(n = −0.99 ± 0.01)"},
                                           {"0.02→-40.1 A", "0.02→−40.1 A"}, {"(-4 °C)", "(−4 °C)"},
                                           {"2026-02-17, hut-14, --most 5, 3 - 4, a -b", NULL}, {"", NULL}, {"-", NULL}};
    for (size_t k = 0; k < sizeof pairs / sizeof *pairs; k++) {
        struct text set = TEXT_EMPTY;
        text_add_signed(&set, pairs[k][0]);
        CHECK(set.s != NULL);
        CHECK_TEXT(text_string(&set), pairs[k][1] != NULL ? pairs[k][1] : pairs[k][0]);
        text_free(&set);
    }
}
