#include "check.h"

#include "draw/paper.h"
#include "report/html.h"

static void holds(const char *words, const char *wanted)
{
    struct text html = TEXT_EMPTY;
    html_words(&html, words);
    CHECK_TEXT(text_string(&html), wanted);
    text_free(&html);
}

TEST(words_from_outside_are_escaped)
{
    holds("<b onclick='x'>\"&", "&lt;b onclick=&#39;x&#39;&gt;&quot;&amp;");
    holds("", "");
}

TEST(bytes_that_are_no_text_do_no_harm)
{
    holds("a\xff" "b\x07" "c\x7f" "d", "a\xef\xbf\xbd" "b c d");
    holds("\xed\xa0\x80", "\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd"); /* half of a surrogate pair, RFC 3629 clause 3 */
    holds("cut \xe2\x82", "cut \xef\xbf\xbd\xef\xbf\xbd");
    holds("± °C Ω", "± °C Ω");
}

TEST(a_minus_is_set_but_not_in_what_stands_in_a_file)
{
    static const char *const heads[] = {"Found", "=As it stands"};
    struct listing rows = listing_of(2);
    struct text html = TEXT_EMPTY;
    holds("at " PAPER_STRONG "-4 °C" PAPER_PLAIN, "at <strong>−4 °C</strong>");
    listing_add(&rows, "-3 A");
    listing_add(&rows, "-3 A");
    html_table(&html, "Both", heads, &rows);
    CHECK(strstr(html.s, ">−3 A</th>") != NULL && strstr(html.s, "<code>-3 A</code>") != NULL);
    listing_free(&rows);
    text_free(&html);
}

TEST(emphasis_becomes_elements_that_are_closed)
{
    holds(PAPER_STRONG "met" PAPER_PLAIN " with room", "<strong>met</strong> with room");
    holds(PAPER_STRONG "a" PAPER_ITALIC "b", "<strong>a</strong><strong><em>b</em></strong>");
    holds("one\ntwo", "one<br>two");
}

TEST(a_table_has_heads_caption_and_rows)
{
    static const char *const heads[] = {"What", ">How much"};
    struct listing rows = listing_of(2);
    struct text html = TEXT_EMPTY;
    html_table(&html, "Nothing", heads, &rows);
    html_pairs(&html, &rows);
    CHECK(html.length == 0);
    listing_add(&rows, "mass <");
    listing_add(&rows, "6.7 kg");
    html_table(&html, "Found", heads, &rows);
    CHECK(strstr(html.s, "<caption>Found</caption>") != NULL);
    CHECK(strstr(html.s, "<th scope=\"col\" class=\"n\">How much</th>") != NULL);
    CHECK(strstr(html.s, "<th scope=\"row\">mass &lt;</th><td class=\"n\">6.7 kg</td>") != NULL);
    listing_free(&rows);
    text_free(&html);
}
