#include "check.h"

#include "base/text.h"
#include "draw/svg.h"

#include <ctype.h>
#include <unistd.h>

static struct figure sample(void)
{
    struct figure figure;
    figure_init(&figure, 480, 120.125, "Ladder of <claims> & \"verdicts\"", "It's short");
    figure_line(&figure, 0, 0.005, 10.999, -3.14159, (struct stroke){INK_HAIR, 1, LINE_SOLID});
    figure_polyline(&figure, (struct point[]){{1, 2}, {3, 4}, {NAN, 0}, {5, 6}, {7.5, 8.25}}, 5,
                    (struct stroke){INK_FIRST, 2.2, LINE_DASHED});
    figure_area(&figure, (struct point[]){{1, 2}, {3, 4}, {5, 2}}, 3, INK_BAND, STROKE_NONE);
    figure_group(&figure, "Capacity", "61.1 ± 0.9 Ah, met");
    figure_circle(&figure, 200, 60, 4, INK_PAPER, (struct stroke){INK_FIRST, 2.4, LINE_SOLID});
    figure_rect(&figure, 1, 2, 3, 4, INK_NONE, (struct stroke){INK_SOFT, 0.5, LINE_DOTTED});
    figure_text(&figure, 10, 20, (struct lettering){.role = ROLE_SMALL, .anchor = ANCHOR_END, .halo = true},
                "a < b && c > \"d\" 'e' 21 °C \x07");
    figure_group_end(&figure);
    figure_group(&figure, "left open", NULL);
    return figure;
}

/* Enough of XML to know a broken document: tags nest and close, attributes are quoted and unlike, and
 * & < stand only where they may. Returns what is wrong, or NULL. */
static const char *check_attributes(const char *p, const char *end)
{
    char seen[16][32];
    size_t count = 0;
    while (p < end) {
        while (p < end && isspace((unsigned char)*p))
            p++;
        if (p == end)
            return NULL;
        size_t n = strcspn(p, "= \t\n");
        if (p + n + 1 >= end || p[n] != '=' || p[n + 1] != '"' || n >= 32 || count == 16)
            return "attribute without a quoted value";
        for (size_t k = 0; k < count; k++)
            if (strlen(seen[k]) == n && memcmp(seen[k], p, n) == 0)
                return "attribute given twice";
        memcpy(seen[count], p, n);
        seen[count++][n] = '\0';
        p += n + 2;
        size_t value = strcspn(p, "\"<");
        if (p[value] != '"' || p + value >= end)
            return "attribute does not end";
        p += value + 1;
    }
    return NULL;
}

static const char *check_entities(const char *p, size_t n)
{
    static const char *const known[] = {"&amp;", "&lt;", "&gt;", "&quot;", "&#39;", "&apos;"};
    for (size_t k = 0; k < n; k++) {
        bool found = p[k] != '&';
        for (size_t e = 0; e < 6 && !found; e++)
            found = strncmp(p + k, known[e], strlen(known[e])) == 0;
        if (!found || ((unsigned char)p[k] < 0x20 && p[k] != '\n'))
            return "loose & or control character";
    }
    return NULL;
}

static const char *check_xml(const char *p)
{
    const char *open[32], *fault = NULL;
    size_t lengths[32], depth = 0, roots = 0;
    if (strncmp(p, "<?xml", 5) == 0)
        p = strstr(p, "?>") + 2;
    while (*p != '\0') {
        size_t words = strcspn(p, "<");
        if ((fault = check_entities(p, words)) != NULL)
            return fault;
        p += words;
        if (*p == '\0')
            break;
        const char *end = strchr(p, '>');
        if (end == NULL)
            return "tag does not end";
        if (p[1] == '/') {
            if (depth == 0 || (size_t)(end - p - 2) != lengths[depth - 1] ||
                memcmp(p + 2, open[depth - 1], lengths[depth - 1]) != 0)
                return "closes what is not open";
            depth--;
        } else {
            size_t n = strcspn(p + 1, " />\n");
            bool single = end[-1] == '/';
            if ((fault = check_attributes(p + 1 + n, single ? end - 1 : end)) != NULL)
                return fault;
            roots += depth == 0;
            if (!single) {
                open[depth] = p + 1;
                lengths[depth++] = n;
            }
        }
        p = end + 1;
    }
    return depth != 0 ? "left open" : roots != 1 ? "not one root" : NULL;
}

TEST(the_checker_knows_a_broken_document)
{
    CHECK(check_xml("<svg><g></svg></g>") != NULL);
    CHECK(check_xml("<svg>a & b</svg>") != NULL);
    CHECK(check_xml("<svg a=\"1\" a=\"2\"/>") != NULL);
    CHECK(check_xml("<svg a=1/>") != NULL);
    CHECK(check_xml("<svg><g/>") != NULL);
    CHECK(check_xml("<svg a=\"1\">x &amp; y<g/></svg>") == NULL);
}

TEST(is_well_formed_alone_and_in_a_page)
{
    struct figure figure = sample();
    struct text inside = TEXT_EMPTY, alone = TEXT_EMPTY;
    svg_add(&figure, "ladder", &inside);
    svg_add_document(&figure, &alone);
    const char *fault = check_xml(inside.s);
    CHECK_TEXT(fault != NULL ? fault : "", "");
    fault = check_xml(alone.s);
    CHECK_TEXT(fault != NULL ? fault : "", "");
    text_free(&inside);
    text_free(&alone);
    figure_free(&figure);
}

static bool has(const struct text *text, const char *s)
{
    return strstr(text_string(text), s) != NULL;
}

TEST(says_what_the_figure_holds)
{
    struct figure figure = sample();
    struct text svg = TEXT_EMPTY;
    svg_add(&figure, "ladder", &svg);
    CHECK(has(&svg, "viewBox=\"0 0 480 120.13\""));
    CHECK(
        has(&svg, "<title id=\"ladder-name0\">Ladder of &lt;claims&gt; &amp; &quot;verdicts&quot;</title>"));
    CHECK(has(&svg, "aria-describedby=\"ladder-about0\""));
    CHECK(has(&svg, "<title id=\"ladder-name1\">Capacity</title>"));
    CHECK(has(&svg, "<desc id=\"ladder-about1\">61.1 ± 0.9 Ah, met</desc>"));
    CHECK(has(&svg, "role=\"group\"")); /* of the whole, since it has parts */
    CHECK(has(&svg, "d=\"M0 0.01L11 -3.14\""));
    CHECK(has(&svg, "d=\"M1 2L3 4M5 6L7.5 8.25\""));
    CHECK(has(&svg, "fig-s-first fig-dashed\""));
    CHECK(has(&svg, "d=\"M1 2L3 4L5 2Z\""));
    CHECK(has(&svg, "text-anchor=\"end\">a &lt; b &amp;&amp; c &gt; "));
    CHECK(has(&svg, "21 °C  </text>"));
    CHECK(!has(&svg, ":#") && !has(&svg, "\"#")); /* no colour but through the page's properties */
    CHECK(!has(&svg, "<style"));
    text_free(&svg);
    figure_free(&figure);
}

TEST(a_figure_without_parts_is_one_picture)
{
    struct figure figure;
    struct text svg = TEXT_EMPTY;
    figure_init(&figure, 10, 10, "Curve", NULL);
    svg_add(&figure, "curve", &svg);
    CHECK(has(&svg, "role=\"img\""));
    CHECK(!has(&svg, "aria-describedby"));
    text_free(&svg);
    figure_free(&figure);
}

TEST(two_figures_of_a_page_share_no_id)
{
    struct figure figure = sample();
    struct text page = TEXT_EMPTY;
    svg_add(&figure, "one", &page);
    svg_add(&figure, "two", &page);
    size_t count = 0;
    for (const char *p = page.s; (p = strstr(p, " id=\"")) != NULL; p += 5) {
        char id[64];
        snprintf(id, sizeof id, "%.*s", (int)(strcspn(p + 5, "\"") + 6), p);
        CHECK(strstr(p + 5, id) == NULL);
        count++;
    }
    CHECK(count == 10); /* name and description of each whole, of one part, and the name of the other */
    text_free(&page);
    figure_free(&figure);
}

TEST(the_same_figure_gives_the_same_bytes)
{
    struct text texts[2] = {TEXT_EMPTY, TEXT_EMPTY};
    for (int k = 0; k < 2; k++) {
        struct figure figure = sample();
        svg_add_document(&figure, &texts[k]);
        figure_free(&figure);
    }
    CHECK_TEXT(texts[0].s, texts[1].s);
    text_free(&texts[0]);
    text_free(&texts[1]);
}

TEST(the_style_has_light_dark_and_print)
{
    struct text css = TEXT_EMPTY;
    svg_add_style(&css);
    const char *dark = strstr(css.s, "@media screen and (prefers-color-scheme:dark)");
    const char *print = strstr(css.s, "@media print");
    CHECK(dark != NULL && print != NULL && dark < print);
    for (enum ink ink = 0; ink < INK_NONE; ink++) {
        char property[64];
        snprintf(property, sizeof property, "--%s:#%06x;", ink_name(ink), ink_colour(PALETTE_DARK, ink));
        CHECK(dark != NULL && strstr(dark, property) != NULL);
        snprintf(property, sizeof property, ".fig-f-%s{fill:var(--%s)}", ink_name(ink), ink_name(ink));
        CHECK(has(&css, property));
    }
    int depth = 0;
    for (const char *p = css.s; *p != '\0'; p++)
        depth += (*p == '{') - (*p == '}');
    CHECK(depth == 0);
    text_free(&css);
}

TEST(a_document_of_its_own_needs_no_custom_property)
{
    struct figure figure = sample();
    struct text svg = TEXT_EMPTY;
    svg_add_document(&figure, &svg);
    CHECK(has(&svg, "<style>") && has(&svg, "prefers-color-scheme:dark") && has(&svg, "@media print"));
    CHECK(!has(&svg, "var(--"));
    text_free(&svg);
    figure_free(&figure);
}

TEST(a_folder_that_is_not_there_is_named)
{
    struct figure figure = sample();
    struct message message = {0};
    CHECK(svg_save(&figure, "/nowhere/at/all.svg", &message) == STATUS_UNREADABLE);
    CHECK_TEXT(message.file, "/nowhere/at/all.svg");
    CHECK(strstr(message.what, "cannot be written") != NULL);
    CHECK(strstr(message.remedy, "folder") != NULL);
    CHECK(svg_save(&figure, "/nowhere/at/all.svg", NULL) == STATUS_UNREADABLE);
    if (access("/dev/full", W_OK) == 0) {
        CHECK(svg_save(&figure, "/dev/full", &message) == STATUS_UNREADABLE);
        CHECK(strstr(message.remedy, "disk is full") != NULL);
    }
    figure_free(&figure);
}
