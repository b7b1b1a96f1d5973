#include "draw/svg.h"

#include "base/output.h"

/* Hundredths as whole numbers: quick, and no locale comes in. */
static void add_number(struct text *text, double value)
{
    char digits[32];
    long hundredths = lround(fmin(fmax(value, -1e9), 1e9) * 100);
    unsigned long size = (unsigned long)labs(hundredths), rest = size % 100;
    int used = snprintf(digits, sizeof digits, "%s%lu", hundredths < 0 ? "-" : "", size / 100);
    if (rest != 0)
        snprintf(digits + used, sizeof digits - (size_t)used, rest % 10 == 0 ? ".%lu" : ".%02lu",
                 rest % 10 == 0 ? rest / 10 : rest);
    text_add(text, digits);
}

static void add_attribute(struct text *text, const char *name, double value)
{
    text_addf(text, " %s=\"", name);
    add_number(text, value);
    text_add(text, "\"");
}

static void add_class(struct text *text, const struct item *shape)
{
    const struct stroke *stroke = &shape->stroke;
    bool stroked = stroke->width > 0 && stroke->ink != INK_NONE;
    text_addf(text, " class=\"fig-f-%s", ink_name(shape->fill));
    if (stroked)
        text_addf(text, " fig-s-%s", ink_name(stroke->ink));
    if (stroked && stroke->line != LINE_SOLID)
        text_addf(text, " fig-%s", stroke->line == LINE_DASHED ? "dashed" : "dotted");
    text_add(text, "\"");
    if (stroked)
        add_attribute(text, "stroke-width", stroke->width);
}

static void add_path(struct text *text, const struct figure *figure, const struct item *shape)
{
    text_add(text, "<path");
    add_class(text, shape);
    text_add(text, " d=\"");
    bool down = false;
    for (size_t k = 0; k < shape->count; k++) {
        struct point point = figure->points[shape->first + k];
        if (isnan(point.x)) {
            down = false;
            continue;
        }
        text_add(text, down ? "L" : "M");
        add_number(text, point.x);
        text_add(text, " ");
        add_number(text, point.y);
        down = true;
    }
    text_add(text, shape->kind == SHAPE_AREA ? "Z\"/>\n" : "\"/>\n");
}

static void add_rect(struct text *text, const struct figure *figure, const struct item *shape)
{
    const struct point *corners = figure->points + shape->first;
    text_add(text, "<rect");
    add_class(text, shape);
    add_attribute(text, "x", corners[0].x);
    add_attribute(text, "y", corners[0].y);
    add_attribute(text, "width", corners[1].x - corners[0].x);
    add_attribute(text, "height", corners[1].y - corners[0].y);
    text_add(text, "/>\n");
}

static void add_circle(struct text *text, const struct figure *figure, const struct item *shape)
{
    const struct point *points = figure->points + shape->first;
    text_add(text, "<circle");
    add_class(text, shape);
    add_attribute(text, "cx", points[0].x);
    add_attribute(text, "cy", points[0].y);
    add_attribute(text, "r", points[1].x);
    text_add(text, "/>\n");
}

static const char *const role_names[ROLE_COUNT] = {"label", "small", "heading", "title"};
static const char *const anchor_names[] = {"start", "middle", "end"};

static void add_text(struct text *text, const struct figure *figure, const struct item *shape)
{
    const struct lettering *lettering = &shape->lettering;
    struct point point = figure->points[shape->first];
    text_addf(text, "<text class=\"fig-t-%s fig-f-%s", role_names[lettering->role], ink_name(lettering->ink));
    text_addf(text, "%s%s\"", lettering->strong ? " fig-strong" : "", lettering->italic ? " fig-italic" : "");
    add_attribute(text, "x", point.x);
    add_attribute(text, "y", point.y);
    if (lettering->anchor != ANCHOR_START)
        text_addf(text, " text-anchor=\"%s\"", anchor_names[lettering->anchor]);
    text_add(text, ">");
    text_add_escaped(text, figure_string(figure, shape->text));
    text_add(text, "</text>\n");
}

/* Says what an element shows. `number` keeps the ids of one figure apart; the prefix is escaped. */
static void add_names(struct text *text, const struct figure *figure, const char *prefix, size_t number,
                      size_t name, size_t description)
{
    const char *said = figure_string(figure, description);
    text_addf(text, " aria-labelledby=\"%s-name%zu\"", prefix, number);
    if (*said != '\0')
        text_addf(text, " aria-describedby=\"%s-about%zu\"", prefix, number);
    text_addf(text, ">\n<title id=\"%s-name%zu\">", prefix, number);
    text_add_escaped(text, figure_string(figure, name));
    text_add(text, "</title>\n");
    if (*said == '\0')
        return;
    text_addf(text, "<desc id=\"%s-about%zu\">", prefix, number);
    text_add_escaped(text, said);
    text_add(text, "</desc>\n");
}

static void add_shapes(struct text *text, const struct figure *figure, const char *prefix)
{
    size_t depth = 0, number = 0;
    for (size_t k = 0; k < figure->count; k++) {
        const struct item *shape = &figure->shapes[k];
        switch (shape->kind) {
        case SHAPE_LINE:
        case SHAPE_AREA: add_path(text, figure, shape); break;
        case SHAPE_RECT: add_rect(text, figure, shape); break;
        case SHAPE_CIRCLE: add_circle(text, figure, shape); break;
        case SHAPE_TEXT: add_text(text, figure, shape); break;
        case SHAPE_GROUP:
            text_add(text, "<g role=\"img\"");
            add_names(text, figure, prefix, ++number, shape->text, shape->description);
            depth++;
            break;
        case SHAPE_GROUP_END:
            if (depth > 0) {
                text_add(text, "</g>\n");
                depth--;
            }
            break;
        }
    }
    for (; depth > 0; depth--)
        text_add(text, "</g>\n");
}

/* An element of role `img` hides what is in it, so a figure with named parts is a group of them. */
static bool has_groups(const struct figure *figure)
{
    for (size_t k = 0; k < figure->count; k++)
        if (figure->shapes[k].kind == SHAPE_GROUP)
            return true;
    return false;
}

/* One rule an ink and use, with the colour itself or through its custom property. */
static void add_ink_rules(struct text *css, bool literal, enum palette palette)
{
    for (enum ink ink = 0; ink < INK_NONE; ink++) {
        char colour[32];
        if (literal)
            snprintf(colour, sizeof colour, "#%06x", ink_colour(palette, ink));
        else
            snprintf(colour, sizeof colour, "var(--%s)", ink_name(ink));
        text_addf(css, ".fig .fig-f-%s{fill:%s}.fig .fig-s-%s{stroke:%s}\n", ink_name(ink), colour,
                  ink_name(ink), colour);
        if (literal && ink == INK_PAPER)
            text_addf(css, ".fig{background:%s}\n", colour);
    }
}

static void add_common_rules(struct text *css)
{
    text_add(css, ".fig{display:block;max-width:100%;height:auto;font-family:Inter,"
                  "system-ui,\"DejaVu Sans\",sans-serif;font-variant-numeric:tabular-nums}\n"
                  ".fig path,.fig rect,.fig circle{stroke-linejoin:round}\n"
                  ".fig .fig-f-none{fill:none}\n"
                  ".fig .fig-strong{font-weight:600}.fig .fig-italic{font-style:italic}\n");
    for (enum role role = 0; role < ROLE_COUNT; role++) {
        text_addf(css, ".fig .fig-t-%s{font-size:", role_names[role]);
        add_number(css, figure_letter_size(role));
        text_add(css, "px}\n");
    }
    for (enum line line = LINE_DASHED; line <= LINE_DOTTED; line++) {
        double dashes[2] = {0};
        figure_dashes(line, dashes);
        text_addf(css, ".fig .fig-%s{stroke-dasharray:", line == LINE_DASHED ? "dashed" : "dotted");
        add_number(css, dashes[0]);
        text_add(css, " ");
        add_number(css, dashes[1]);
        text_add(css, "}\n");
    }
}

static void add_properties(struct text *css, const char *of, enum palette palette)
{
    text_addf(css, "%s{", of);
    for (enum ink ink = 0; ink < INK_NONE; ink++)
        text_addf(css, "--%s:#%06x;", ink_name(ink), ink_colour(palette, ink));
    text_addf(css, "color-scheme:%s}", palette == PALETTE_DARK ? "dark" : "light");
}

#define IN_DARK "@media screen and (prefers-color-scheme:dark){\n"
#define IN_PRINT "@media print{\n"

void svg_add_style(struct text *css)
{
    add_properties(css, ":root", PALETTE_LIGHT);
    text_add(css, "\n" IN_DARK);
    add_properties(css, ":root:not([data-theme=light])", PALETTE_DARK);
    text_add(css, "}\n@media screen{\n");
    add_properties(css, ":root[data-theme=dark]", PALETTE_DARK);
    text_add(css, "}\n" IN_PRINT);
    add_properties(css, ":root", PALETTE_PRINT);
    text_add(css, "}\n");
    add_common_rules(css);
    add_ink_rules(css, false, PALETTE_LIGHT);
}

/* Colours themselves, not properties: viewers other than browsers know no custom properties. */
static void add_own_style(struct text *svg)
{
    text_add(svg, "<style>\n");
    add_common_rules(svg);
    add_ink_rules(svg, true, PALETTE_LIGHT);
    text_add(svg, IN_DARK);
    add_ink_rules(svg, true, PALETTE_DARK);
    text_add(svg, "}\n" IN_PRINT);
    add_ink_rules(svg, true, PALETTE_PRINT);
    text_add(svg, "}\n</style>\n");
}

static void add_element(struct text *text, const struct figure *figure, const char *prefix, bool with_style)
{
    text_add(text, "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"fig\"");
    add_attribute(text, "width", figure->width);
    add_attribute(text, "height", figure->height);
    text_add(text, " viewBox=\"0 0 ");
    add_number(text, figure->width);
    text_add(text, " ");
    add_number(text, figure->height);
    text_addf(text, "\" role=\"%s\"", has_groups(figure) ? "group" : "img");
    add_names(text, figure, prefix, 0, figure->name, figure->description);
    if (with_style)
        add_own_style(text);
    add_shapes(text, figure, prefix);
    text_add(text, "</svg>\n");
}

void svg_add(const struct figure *figure, const char *id_prefix, struct text *html)
{
    struct text prefix = TEXT_EMPTY;
    text_add_escaped(&prefix, id_prefix);
    add_element(html, figure, text_string(&prefix), false);
    text_free(&prefix);
}

void svg_add_document(const struct figure *figure, struct text *svg)
{
    text_add(svg, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    add_element(svg, figure, "fig", true);
}

enum status svg_save(const struct figure *figure, const char *path, struct message *message)
{
    struct text svg = TEXT_EMPTY;
    svg_add_document(figure, &svg);
    enum status status = output_save(path, &svg, message);
    text_free(&svg);
    return status;
}
