#include "assessed.h"

#include "report/signs.h"

static struct signs commas(const char *const *names)
{
    struct assessment empty = {.label = label_empty()};
    struct signs signs = signs_of(&empty, true);
    for (size_t k = 0; names != NULL && names[k] != NULL; k++) {
        signs.names = memory_grow(signs.names, signs.count, &signs.capacity);
        signs.names[signs.count++] = memory_copy_string(names[k]);
    }
    return signs;
}

static void check_words(const char *before, const char *after)
{
    static const char *const names[] = {"shed 2.5 night.csv", "s14.1.label", "Rig 0.75", NULL};
    struct signs signs = commas(names);
    char *words = memory_copy_string(before);
    signs_set(&signs, words);
    CHECK_TEXT(words, after);
    free(words);
    signs_free(&signs);
}

TEST(numbers_get_a_comma)
{
    check_words("57.50 ± 0.57 Ah, p < 0.001", "57,50 ± 0,57 Ah, p < 0,001");
    check_words("capacity 100.5Ah at 0.2 It, to 10.25 V.", "capacity 100,5Ah at 0,2 It, to 10,25 V.");
    check_words("It was 12.16.", "It was 12,16.");
    check_words("\xe2\x88\x92" "1.5 °C, -0.25 A, +3.125 V", "\xe2\x88\x92" "1,5 °C, -0,25 A, +3,125 V");
    check_words("10.5..14.6 V, 10.5\xe2\x80\x93" "14.6 V", "10,5..14,6 V, 10,5\xe2\x80\x93" "14,6 V");
    check_words("(0.7 %)/1.5", "(0,7 %)/1,5");
}

TEST(names_keep_their_points)
{
    check_words("shed 2.5 night.csv:12: 2.5 V", "shed 2.5 night.csv:12: 2,5 V");
    check_words("Rig 0.75; volts 0.75 %", "Rig 0.75; volts 0,75 %");
    check_words("Rig 0.755", "Rig 0,755"); /* another name */
    check_words("s14.1.label says 14.1", "s14.1.label says 14,1");
    check_words("Rundown " RUNDOWN_VERSION " · 1.5", "Rundown " RUNDOWN_VERSION " · 1,5");
    check_words("version 1.2.3, 192.168.1.5, 14.3.2024, v2.5, x_1.5, run.2.5.csv", "version 1.2.3, 192.168.1.5, 14.3.2024, v2.5, x_1.5, run.2.5.csv");
    check_words("log.7.csv 0.5.csv", "log.7.csv 0.5.csv");
    check_words("IEC 61960-3, JCGM 101:2008, ISO 13528", "IEC 61960-3, JCGM 101:2008, ISO 13528");
    check_words("4:02:20.5 after", "4:02:20,5 after");
    check_words("7", "7");
    check_words("", "");
    check_words(".5 5.", ".5 5.");
}

TEST(a_point_changes_nothing)
{
    struct assessment empty = {.label = label_empty()};
    struct signs signs = signs_of(&empty, false);
    char words[] = "57.50 Ah", html[] = "<p>57.50 Ah</p>";
    signs_set(&signs, words);
    signs_set_html(&signs, html);
    CHECK_TEXT(words, "57.50 Ah");
    CHECK_TEXT(html, "<p>57.50 Ah</p>");
    signs_free(&signs);
}

TEST(a_page_keeps_its_markup)
{
    static const char *const names[] = {"a&amp;b 1.5.csv", NULL};
    struct signs signs = commas(names);
    char html[] = "<style>a{margin:.5rem 1.5rem}</style><p class=\"x1.5\">1.5 V in a&amp;b 1.5.csv</p>"
                  "<svg viewBox=\"0 0 1.5 2.5\"><path d=\"M1.5 2.5\"/><text x=\"1.5\">2.5</text></svg>"
                  "<div aria-label=\"to 10.5 V\" id=\"v1.5\"><code>10.5 V</code>10.5</div>";
    signs_set_html(&signs, html);
    CHECK_TEXT(html, "<style>a{margin:.5rem 1.5rem}</style><p class=\"x1.5\">1,5 V in a&amp;b 1.5.csv</p>"
                     "<svg viewBox=\"0 0 1.5 2.5\"><path d=\"M1.5 2.5\"/><text x=\"1.5\">2,5</text></svg>"
                     "<div aria-label=\"to 10,5 V\" id=\"v1.5\"><code>10.5 V</code>10,5</div>");
    char open[] = "1.5 <code>1.5";
    signs_set_html(&signs, open);
    CHECK_TEXT(open, "1,5 <code>1.5");
    signs_free(&signs);
}
