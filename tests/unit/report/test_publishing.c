#include "assessed.h"

#include "image/image.h"
#include "report/page.h"
#include "report/sheet.h"
#include "small_png.h"

/* Digits, a point and digits that stand in the words of a page, outside of elements, styles and code. */
static size_t points_in(const char *html, const char *name)
{
    size_t count = 0;
    bool in_tag = false;
    for (const char *p = html; *p != '\0'; p++) {
        if (strncmp(p, "<style", 6) == 0 || strncmp(p, "<code", 5) == 0)
            p = strstr(p, p[1] == 's' ? "</style" : "</code");
        if (name != NULL && strncmp(p, name, strlen(name)) == 0)
            p += strlen(name);
        in_tag = (in_tag || *p == '<') && *p != '>';
        bool digits = p > html && p[0] == '.' && p[-1] >= '0' && p[-1] <= '9' && p[1] >= '0' && p[1] <= '9';
        count += digits && !in_tag;
    }
    return count;
}

TEST(a_page_with_commas_says_the_same)
{
    struct assessment demo = assessed_demo();
    struct text point = TEXT_EMPTY, comma = TEXT_EMPTY;
    page_html(&demo, &(struct publishing){0}, &point);
    page_html(&demo, &(struct publishing){.comma = true}, &comma);
    CHECK(point.length == comma.length);
    CHECK(points_in(point.s, "Rundown " RUNDOWN_VERSION) > 100);
    CHECK(points_in(comma.s, "Rundown " RUNDOWN_VERSION) == 0);
    CHECK(strstr(comma.s, "hut-pack.log.csv") != NULL && strstr(comma.s, "Rundown " RUNDOWN_VERSION) != NULL);
    size_t changed = 0; /* points became commas, and nothing else */
    for (size_t k = 0; k < point.length; k++) {
        CHECK(point.s[k] == comma.s[k] || (point.s[k] == '.' && comma.s[k] == ','));
        changed += point.s[k] != comma.s[k];
    }
    CHECK(changed > 100);
    text_free(&point);
    text_free(&comma);
    assessment_free(&demo);
}

TEST(what_is_left_out_is_named)
{
    struct assessment demo = assessed_demo();
    struct publishing publishing = {0};
    struct message message = {0};
    struct text html = TEXT_EMPTY, words = TEXT_EMPTY;
    publishing_left_out(&publishing, &demo, &words);
    CHECK(words.length == 0);
    page_html(&demo, &publishing, &html);
    CHECK(strstr(html.s, "What the uncertainty is made of") != NULL && strstr(html.s, "the-recompute") != NULL);
    CHECK(strstr(html.s, "Left out by") == NULL);
    text_free(&html);
    CHECK(publishing_leave_out(&publishing, "budgets, Conditions,notices,cautions,recompute,pictures", &message) == STATUS_OK);
    page_html(&demo, &publishing, &html);
    static const char *const gone[] = {"What the uncertainty is made of", "Uncertainty of the charge", "IEC 62620", "the-recompute",
                                       "class=\"cautions\""};
    for (size_t k = 0; k < sizeof gone / sizeof *gone; k++)
        CHECK(strstr(html.s, gone[k]) == NULL);
    CHECK(strstr(html.s, "Left out by whoever published this: what the uncertainty is made of, the conditions") != NULL);
    text_free(&html);
    text_free(&words);
    assessment_free(&demo);
}

TEST(a_hidden_run_is_named_and_still_decides)
{
    struct assessment demo = assessed_demo();
    bool hide[] = {true};
    struct text html = TEXT_EMPTY;
    page_html(&demo, &(struct publishing){.hide = hide}, &html);
    CHECK(strstr(html.s, "the verdicts rest on all of it") != NULL);
    CHECK(strstr(html.s, "Left out by whoever published this: hut-pack.log.csv") != NULL);
    CHECK(strstr(html.s, "Uncertainty of the charge") == NULL);
    for (size_t k = 0; k < demo.decision_count; k++)
        CHECK(strstr(html.s, demo.decisions[k].claim->slug) != NULL);
    struct text pdf = TEXT_EMPTY;
    struct message message = {0};
    CHECK(sheet_render(&demo, &(struct publishing){.hide = hide, .comma = true}, &pdf, &message) == STATUS_OK);
    CHECK(pdf.length > 1000 && strncmp(pdf.s, "%PDF", 4) == 0);
    text_free(&pdf);
    text_free(&html);
    assessment_free(&demo);
}

TEST(pictures_stand_in_the_page_itself)
{
    struct assessment demo = assessed_demo();
    struct publishing_picture picture = {"From the front, <left>", "", {"\x01\x02\xff\xfe", 4}};
    struct publishing publishing = {.pictures = &picture, .picture_count = 1};
    struct text html = TEXT_EMPTY;
    page_html(&demo, &publishing, &html);
    CHECK(strstr(html.s, "src=\"data:image/jpeg;base64,AQL//g==\"") != NULL);
    CHECK(strstr(html.s, "<figcaption>From the front, &lt;left&gt;") != NULL);
    text_free(&html);
    assessment_free(&demo);
}

TEST(a_picture_goes_into_the_sheet_as_the_jpeg_that_it_is)
{
    struct assessment demo = assessed_demo();
    struct image *image = NULL;
    struct text jpeg = TEXT_EMPTY, pdf = TEXT_EMPTY, plain = TEXT_EMPTY;
    struct message message = {0};
    CHECK(image_read("small.png", (struct span){(const char *)small_png, sizeof small_png}, &image, &message) == STATUS_OK);
    CHECK(image_write_jpeg(image, 85, &jpeg, &message) == STATUS_OK);
    image_free(image);
    struct publishing_picture picture = {"From the front", "", {jpeg.s, jpeg.length}};
    struct publishing publishing = {.pictures = &picture, .picture_count = 1};
    CHECK(sheet_render(&demo, &publishing, &pdf, &message) == STATUS_OK);
    CHECK(memmem(pdf.s, pdf.length, jpeg.s, jpeg.length) != NULL);
    publishing.without[PUBLISH_PICTURES] = true;
    CHECK(sheet_render(&demo, &publishing, &plain, &message) == STATUS_OK);
    CHECK(memmem(plain.s, plain.length, jpeg.s, jpeg.length) == NULL);
    text_free(&jpeg);
    text_free(&pdf);
    text_free(&plain);
    assessment_free(&demo);
}

TEST(a_part_that_there_is_not_is_a_usage_error)
{
    struct publishing publishing = {0};
    struct message message = {0};
    CHECK(publishing_leave_out(&publishing, "budgets,verdicts", &message) == STATUS_USAGE);
    CHECK(strstr(message.what, "'verdicts'") != NULL && strstr(message.remedy, "budgets, conditions") != NULL);
    CHECK(publishing_leave_out(&publishing, " , ,", &message) == STATUS_OK);
}
