#include "check.h"

#include "base/text.h"
#include "draw/paper.h"

#include <spawn.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

extern char **environ;

static struct paper *open_sheet(enum paper_size size)
{
    return paper_open(&(struct paper_about){
        .size = size, .title = "Sample 014", .subject = "Invented data", .foot = "Sample 014 · invented"});
}

/* A file in memory that a child sees under the same path. */
static int open_shared(const char *name, char *path, size_t size)
{
    int file = memfd_create(name, 0);
    snprintf(path, size, "/proc/self/fd/%d", file);
    return file;
}

/* What a reader finds in the pages, each closed by a form feed; false, and the test skipped, when pdftotext
 * is not here. */
static bool read_pages(struct paper *paper, struct text *ret_words)
{
    char pdf[64], words[64];
    int files[2] = {open_shared("pdf", pdf, sizeof pdf), open_shared("words", words, sizeof words)},
        result = -1;
    struct message message = {0};
    pid_t child;
    CHECK(paper_save(paper, pdf, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    char program[] = "pdftotext", layout[] = "-layout", encoding[] = "-enc", utf8[] = "UTF-8";
    char *arguments[] = {program, layout, encoding, utf8, pdf, words, NULL};
    bool ran = posix_spawnp(&child, program, NULL, NULL, arguments, environ) == 0 &&
               waitpid(child, &result, 0) == child && WIFEXITED(result) && WEXITSTATUS(result) != 127;
    if (ran) {
        CHECK(result == 0);
        CHECK(text_read_file(words, 1 << 22, ret_words) == 0);
    }
    close(files[0]);
    close(files[1]);
    if (!ran)
        test_skip("pdftotext is not on this machine");
    return ran;
}

static size_t count_of(const char *text, const char *part)
{
    size_t count = 0;
    for (const char *p = text; (p = strstr(p, part)) != NULL; p += strlen(part))
        count++;
    return count;
}

/* Page, from 1, on which the words first stand; 0 when nowhere. */
static size_t page_of(const char *text, const char *words)
{
    const char *at = strstr(text, words);
    size_t page = 1;
    for (const char *p = text; at != NULL && p < at; p++)
        page += *p == '\f';
    return at != NULL ? page : 0;
}

TEST(the_words_are_there_and_can_be_copied)
{
    struct paper *paper = open_sheet(PAPER_A4);
    struct text words = TEXT_EMPTY;
    paper_heading(paper, 1, "Sample 014");
    paper_paragraph(paper, PAPER_LEAD,
                    "It delivers " PAPER_STRONG "61.1 ± 0.9 Ah" PAPER_PLAIN " at −3 °C <&>.");
    const struct paper_pair pairs[] = {{"Rest before", "2 h 10 min"}, {"Temperature", NULL}};
    paper_pairs(paper, pairs, 2);
    struct figure figure;
    figure_init(&figure, 700, 90, "Ladder", NULL);
    figure_text(&figure, 10, 30, (struct lettering){.halo = true}, "too close to call");
    paper_figure(paper, &figure, 0);
    figure_free(&figure); /* the paper has its own */
    CHECK(paper_page(paper) == 1);
    if (read_pages(paper, &words)) {
        CHECK(count_of(words.s, "\f") == 1);
        CHECK(strstr(words.s, "It delivers 61.1 ± 0.9 Ah at −3 °C <&>.") != NULL);
        CHECK(strstr(words.s, "2 h 10 min") != NULL);
        CHECK(strstr(words.s, "too close to call") != NULL);
        CHECK(strstr(words.s, "page 1 of 1") != NULL);
    }
    text_free(&words);
    paper_free(paper);
}

TEST(long_text_goes_on_overleaf_whole_and_in_order)
{
    struct paper *paper = open_sheet(PAPER_LETTER);
    struct text words = TEXT_EMPTY;
    for (int k = 0; k < 120; k++) {
        char text[512];
        if (k % 7 == 0) {
            snprintf(text, sizeof text, "Part P%03d", k);
            paper_heading(paper, 2, text);
            paper_space(paper, 3);
        }
        snprintf(
            text, sizeof text,
            "Reading R%03d was taken when the load had settled; it holds to the last digit shown and was read "
            "from the meter twice, once by each of the two who were there, who agreed on it. End E%03d.",
            k, k);
        paper_paragraph(paper, PAPER_BODY, text);
    }
    int pages = paper_page(paper);
    CHECK(pages >= 4);
    if (read_pages(paper, &words)) {
        CHECK(count_of(words.s, "\f") == (size_t)pages);
        const char *at = words.s;
        for (int k = 0; k < 120; k++) {
            char mark[16], part[16];
            snprintf(mark, sizeof mark, "E%03d.", k);
            at = strstr(at, mark);
            CHECK(at != NULL);
            if (at == NULL)
                break;
            if (k % 7 != 0)
                continue;
            snprintf(part, sizeof part, "P%03d", k); /* a heading stands on the page of what it heads */
            snprintf(mark, sizeof mark, "R%03d", k);
            CHECK(page_of(words.s, part) == page_of(words.s, mark));
        }
    }
    text_free(&words);
    paper_free(paper);
}

TEST(a_long_table_repeats_its_head_and_loses_no_row)
{
    struct paper *paper = open_sheet(PAPER_A4);
    struct text words = TEXT_EMPTY;
    const struct paper_column columns[] = {
        {"Reading", ANCHOR_START, 0}, {"Remark", ANCHOR_START, 1}, {"Volts", ANCHOR_END, 0}};
    static char names[150][16], volts[150][16];
    const char *cells[450];
    for (int k = 0; k < 150; k++) {
        snprintf(names[k], sizeof names[k], "N%03d", k);
        snprintf(volts[k], sizeof volts[k], "%d.%02d", 10 + k % 4, k % 100);
        cells[3 * k] = names[k];
        cells[3 * k + 1] =
            k % 9 == 0 ? "a remark that is long enough to be set in two lines, whatever the font that "
                         "the machine happens to have for us today"
                       : NULL;
        cells[3 * k + 2] = volts[k];
    }
    paper_table(paper, columns, 3, cells, 150);
    int pages = paper_page(paper);
    CHECK(pages >= 4);
    if (read_pages(paper, &words)) {
        CHECK(count_of(words.s, "Volts") == (size_t)pages);
        for (int k = 0; k < 150; k++)
            CHECK(count_of(words.s, names[k]) == 1);
    }
    text_free(&words);
    paper_free(paper);
}

TEST(a_row_that_no_page_can_hold_is_split_not_lost)
{
    struct paper *paper = open_sheet(PAPER_A4);
    struct text words = TEXT_EMPTY, cell = TEXT_EMPTY;
    for (int k = 0; k < 900; k++)
        text_addf(&cell, "word%04d ", k);
    const struct paper_column columns[] = {{"Key", ANCHOR_START, 0}, {"Value", ANCHOR_START, 1}};
    const char *cells[] = {"long", cell.s, "short", "last words"};
    paper_table(paper, columns, 2, cells, 2);
    if (read_pages(paper, &words)) {
        for (int k = 0; k < 900; k++) {
            char word[16];
            snprintf(word, sizeof word, "word%04d", k);
            CHECK(count_of(words.s, word) == 1);
        }
        CHECK(strstr(words.s, "last words") != NULL);
    }
    text_free(&words);
    text_free(&cell);
    paper_free(paper);
}

static void fill(struct paper *paper, double until)
{
    while (paper_remaining(paper) > until)
        paper_paragraph(paper, PAPER_BODY, "Filling.");
}

TEST(what_is_kept_together_stays_together)
{
    struct paper *paper = open_sheet(PAPER_A4);
    struct text words = TEXT_EMPTY;
    fill(paper, 60);
    CHECK(paper_page(paper) == 1);
    paper_keep(paper);
    paper_paragraph(paper, PAPER_BODY, "Caution A1: packs hold energy that burns.");
    for (int k = 0; k < 5; k++)
        paper_paragraph(paper, PAPER_BODY, "Fuse the lead at the post.");
    paper_paragraph(paper, PAPER_BODY, "Caution A2: follow local codes.");
    paper_keep_end(paper);
    paper_paragraph(paper, PAPER_BODY, "After A3.");
    CHECK(paper_page(paper) == 2);
    paper_break(paper);
    paper_break(paper); /* an empty page is no page */
    CHECK(paper_page(paper) == 3 && paper_y(paper) == 0);
    paper_heading(paper, 2, "Last A4");
    if (read_pages(paper, &words)) {
        CHECK(page_of(words.s, "A1") == 2 && page_of(words.s, "A2") == 2 && page_of(words.s, "A3") == 2);
        CHECK(page_of(words.s, "Last A4") == 3);
    }
    text_free(&words);
    paper_free(paper);
}

TEST(columns_stand_side_by_side_or_go_over_as_one)
{
    struct paper *paper = open_sheet(PAPER_A4);
    struct text words = TEXT_EMPTY;
    const double shares[] = {2, 1};
    double whole = paper_width(paper);
    fill(paper, 40);
    paper_heading(paper, 2, "Head C0");
    paper_columns(paper, 2, shares, 24);
    CHECK_NEAR(paper_width(paper), (whole - 24) * 2 / 3, 1e-9);
    for (int k = 0; k < 6; k++)
        paper_paragraph(paper, PAPER_BODY, "Left C1.");
    paper_next_column(paper);
    CHECK_NEAR(paper_width(paper), (whole - 24) / 3, 1e-9);
    paper_paragraph(paper, PAPER_BODY, "Right C2.");
    paper_columns_end(paper);
    CHECK_NEAR(paper_width(paper), whole, 0);
    CHECK(paper_page(paper) == 2);
    double y = paper_y(paper);
    paper_paragraph(paper, PAPER_BODY, "Below C3.");
    CHECK(paper_y(paper) > y);
    if (read_pages(paper, &words)) {
        const char *line = strstr(words.s, "Left C1.");
        CHECK(line != NULL && memchr(line, 'R', strcspn(line, "\n")) != NULL); /* same line */
        CHECK(page_of(words.s, "C0") == 2 && page_of(words.s, "C1") == 2 && page_of(words.s, "C3") == 2);
    }
    text_free(&words);
    paper_free(paper);
}

TEST(columns_that_no_page_can_hold_lose_nothing)
{
    struct paper *paper = open_sheet(PAPER_A4);
    struct text words = TEXT_EMPTY;
    paper_columns(paper, 2, NULL, 24);
    for (int k = 0; k < 90; k++)
        paper_paragraph(paper, PAPER_BODY, "Left.");
    paper_next_column(paper);
    paper_paragraph(paper, PAPER_BODY, "Right.");
    paper_columns_end(paper);
    if (read_pages(paper, &words)) {
        CHECK(count_of(words.s, "Left.") == 90 && count_of(words.s, "Right.") == 1);
        CHECK(count_of(words.s, "\f") == 3);
    }
    text_free(&words);
    paper_free(paper);
}

static struct text render(const char *date, enum paper_size size)
{
    struct paper *paper = paper_open(&(struct paper_about){
        .size = size, .title = "Sample (014) \\ é", .subject = "Invented", .date = date});
    struct text pdf = TEXT_EMPTY;
    paper_heading(paper, 1, "Sample \xff 014");
    paper_paragraph(paper, PAPER_BODY, NULL);
    CHECK(paper_render(paper, &pdf, NULL) == STATUS_OK);
    paper_free(paper);
    return pdf;
}

static bool holds(const struct text *bytes, const char *part)
{
    return memmem(bytes->s, bytes->length, part, strlen(part)) != NULL;
}

TEST(the_same_calls_give_the_same_bytes)
{
    struct text one = render(NULL, PAPER_A4), two = render(NULL, PAPER_A4);
    struct text dated = render("2024-03-14T10:00:00Z", PAPER_LETTER);
    CHECK(one.length == two.length && memcmp(one.s, two.s, one.length) == 0);
    CHECK(memcmp(one.s, "%PDF-", 5) == 0);
    CHECK(!holds(&one, "/CreationDate") && !holds(&one, "/Author"));
    CHECK(holds(&dated, "20240314100000Z"));
    CHECK(!holds(&one, "612 792"));
    text_free(&one);
    text_free(&two);
    text_free(&dated);
}

TEST(an_empty_paper_has_one_page)
{
    struct paper *paper = paper_open(&(struct paper_about){0});
    struct text words = TEXT_EMPTY;
    CHECK(paper_page(paper) == 1 && paper_y(paper) == 0);
    paper_space(paper, 20);
    paper_table(paper, (struct paper_column[]){{"Head", ANCHOR_START, 0}}, 0, NULL, 0);
    if (read_pages(paper, &words))
        CHECK(count_of(words.s, "\f") == 1);
    text_free(&words);
    paper_free(paper);
    paper_free(NULL);
}

TEST(a_place_that_cannot_be_written_is_named)
{
    struct paper *paper = open_sheet(PAPER_A4);
    struct message message = {0};
    CHECK(paper_save(paper, "/nowhere/at/all/sheet.pdf", &message) == STATUS_UNREADABLE);
    CHECK_TEXT(message.file, "/nowhere/at/all/sheet.pdf");
    CHECK(strstr(message.remedy, "folder") != NULL);
    CHECK(paper_save(paper, "/", &message) == STATUS_UNREADABLE);
    CHECK(strstr(message.remedy, "file name") != NULL);
    CHECK(paper_save(paper, "/nowhere/at/all/sheet.pdf", NULL) == STATUS_UNREADABLE);
    paper_free(paper);
}

/* What stands in another paper comes after, is drawn once, and flows on. */
TEST(papers_are_joined)
{
    struct paper *paper = open_sheet(PAPER_A4), *more = open_sheet(PAPER_A4);
    struct text words = TEXT_EMPTY;
    paper_heading(paper, 1, "first");
    paper_small(more, true);
    paper_columns(more, 2, NULL, 20);
    paper_paragraph(more, PAPER_BODY, "left");
    paper_next_column(more);
    paper_paragraph(more, PAPER_BODY, "right");
    paper_columns_end(more);
    static const struct paper_column columns[] = {{"head", ANCHOR_START, 1}};
    const char *cells[90];
    for (size_t k = 0; k < 90; k++)
        cells[k] = k == 89 ? "last row" : "row";
    paper_table(more, columns, 1, cells, 90);
    double height = paper_y(more);
    int page = paper_page(more);
    CHECK(height > 0 && page > 1);
    paper_append(paper, more);
    CHECK(paper_y(more) == 0 && paper_page(more) == 1);
    paper_free(more);
    paper_paragraph(paper, PAPER_BODY, "after it");
    if (read_pages(paper, &words)) {
        CHECK(count_of(words.s, "first") == 1 && count_of(words.s, "left") == 1);
        CHECK(count_of(words.s, "head") == 2); /* again on the second page */
        CHECK(page_of(words.s, "last row") == 2 && page_of(words.s, "after it") == 2);
        CHECK(strstr(words.s, "last row") < strstr(words.s, "after it"));
    }
    text_free(&words);
    paper_free(paper);
}

TEST(titles_may_be_any_bytes)
{
    struct paper *paper = paper_open(&(struct paper_about){.title = "a\xff\x07" "b", .subject = "\xc3", .foot = "\xfe"});
    struct text pdf = TEXT_EMPTY;
    struct message message = {0};
    CHECK(paper_render(paper, &pdf, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    text_free(&pdf);
    paper_free(paper);
}
