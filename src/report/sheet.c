/* The sheet. First page: what does not go together, the answer, what was claimed and what was found. From the second page on,
 * part by part: how it was found, how far it can be trusted, and what was not looked at. Everything that does not fit goes on overleaf; nothing is left out for want of room. */
#include "report/sheet.h"

#include "base/memory.h"
#include "base/output.h"

#include "report/account.h"
#include "report/parts.h"
#include "report/sheet_parts.h"

#define SLACK 8.0       /* points above a first line, which vanish at the top of a page */
#define CURVE_HEAD 70.0 /* headings and gaps of the curve, and what words below it may add */
#define LEAST_CURVE 140.0
#define MOST_CURVE 260.0

static void set_words(const void *signs, char *words)
{
    signs_set(signs, words);
}

static struct paper *open_paper(const struct sheet *sheet)
{
    const struct assessment *assessment = sheet->assessment;
    char foot[200];
    snprintf(foot, sizeof foot, "%sRundown %s · one sample is one sample · %s",
             assessment->invented ? "INVENTED DATA · " : "", RUNDOWN_VERSION, account_title(assessment));
    return paper_open(&(struct paper_about){
        .size = sheet->publishing->paper,
        .title = account_title(assessment),
        .subject = assessment->invented ? "Invented data" : "Claims held against measurements",
        .foot = foot,
        .words = set_words,
        .context = &sheet->signs,
    });
}

/* What stands below the ladder and below the first curve, set before the two are, which take what room it
 * leaves. */
struct rest {
    struct paper *below_ladder, *below_curve;
    double page, test, doubts; /* heights: of a page, of the first discharge's test, and with how far it can be trusted */
};

static struct rest set_rest(const struct sheet *sheet, const size_t *discharges, size_t count)
{
    struct rest rest = {open_paper(sheet), open_paper(sheet), 0, 0, 0};
    struct paper *paper = rest.below_curve;
    rest.page = paper_remaining(paper);
    paper_small(rest.below_ladder, true);
    paper_small(paper, true);
    sheet_below_ladder(rest.below_ladder, sheet);
    if (count > 0) {
        sheet_discharge(paper, sheet, discharges[0]);
        rest.test = paper_y(paper);
        sheet_doubts(paper, sheet, discharges[0]);
        rest.doubts = paper_page(paper) == 1 ? paper_y(paper) : rest.page;
    }
    sheet_more_discharges(paper, sheet, discharges, count);
    sheet_current(paper, sheet);
    sheet_charge(paper, sheet);
    sheet_protections(paper, sheet);
    sheet_construction(paper, sheet);
    sheet_conditions(paper, sheet);
    sheet_other(paper, sheet);
    sheet_untested(paper, sheet);
    sheet_tail(paper, sheet);
    return rest;
}

/* As high as what belongs to it lets it be: on the rest of this page, else on the next; on this one with only half of it,
 * or with none. */
static double curve_height(const struct paper *paper, const struct rest *rest)
{
    double here = paper_remaining(paper) - CURVE_HEAD, next = rest->page - CURVE_HEAD;
    const double rooms[] = {here - rest->doubts, here - rest->test, here, next - rest->doubts, next - rest->test};
    for (size_t k = 0; k < sizeof rooms / sizeof *rooms; k++)
        if (rooms[k] >= LEAST_CURVE)
            return fmin(rooms[k], MOST_CURVE);
    return MOST_CURVE;
}

static void compose(struct paper *paper, const struct sheet *sheet)
{
    const struct assessment *assessment = sheet->assessment;
    size_t *discharges = memory_get((assessment->record_count + 1) * sizeof *discharges);
    size_t count = part_records(assessment, sheet->publishing, PART_CAPACITY, discharges);
    struct rest rest = set_rest(sheet, discharges, count);
    sheet_head(paper, sheet);
    if (assessment->decision_count > 0) {
        paper_heading(paper, 2, "Claims");
        sheet_ladder(paper, sheet, paper_y(rest.below_ladder) + SLACK);
    } else {
        paper_paragraph(paper, PAPER_BODY, "No label was given: these are findings, held against no claim.");
    }
    paper_small(paper, true);
    paper_append(paper, rest.below_ladder);
    if (count > 0) {
        double height = curve_height(paper, &rest);
        paper_heading(paper, 2, part_headings[PART_CAPACITY]);
        sheet_curve(paper, sheet, discharges[0], height);
    }
    paper_append(paper, rest.below_curve);
    paper_free(rest.below_ladder);
    paper_free(rest.below_curve);
    free(discharges);
}

/* Free it with end_sheet. */
static struct paper *set_sheet(struct sheet *sheet, const struct assessment *assessment, const struct publishing *publishing)
{
    *sheet = (struct sheet){assessment, publishing, signs_of(assessment, publishing->comma)};
    struct paper *paper = open_paper(sheet);
    compose(paper, sheet);
    return paper;
}

static void end_sheet(struct sheet *sheet, struct paper *paper)
{
    paper_free(paper);
    signs_free(&sheet->signs);
}

enum status sheet_render(const struct assessment *assessment, const struct publishing *publishing, struct text *ret_pdf,
                         struct message *message)
{
    struct sheet sheet;
    struct paper *paper = set_sheet(&sheet, assessment, publishing);
    enum status status = paper_render(paper, ret_pdf, message);
    end_sheet(&sheet, paper);
    return status;
}

enum status sheet_picture(const struct assessment *assessment, const struct publishing *publishing, int page, int pixels,
                          struct text *ret_png, int *ret_pages, struct message *message)
{
    struct sheet sheet;
    struct paper *paper = set_sheet(&sheet, assessment, publishing);
    int pages = paper_pages(paper);
    enum status status = page == 0 ? STATUS_OK : paper_picture(paper, page, pixels, ret_png, message);
    end_sheet(&sheet, paper);
    if (status == STATUS_OK)
        *ret_pages = pages;
    return status;
}

enum status sheet_write(const struct assessment *assessment, const struct publishing *publishing, const char *path,
                        struct message *message)
{
    struct text pdf = TEXT_EMPTY;
    enum status status = sheet_render(assessment, publishing, &pdf, message);
    if (status == STATUS_OK)
        status = output_save(path, &pdf, message);
    text_free(&pdf);
    return status;
}
