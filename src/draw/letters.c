#include "draw/letters.h"

#include <pango/pangocairo.h>

static bool is_noncharacter(gunichar c)
{
    return (c & 0xfffe) == 0xfffe || (c >= 0xfdd0 && c <= 0xfdef);
}

size_t letters_add_clean(struct text *strings, const char *s)
{
    size_t start = strings->length;
    char *valid = g_utf8_make_valid(s != NULL ? s : "", -1);
    for (const char *p = valid; *p != '\0'; p = g_utf8_next_char(p)) {
        gunichar c = g_utf8_get_char(p);
        if (c < 0x20 || (c >= 0x7f && c < 0xa0))
            text_add(strings, " ");
        else if (is_noncharacter(c))
            text_add(strings, "\xef\xbf\xbd");
        else
            text_add_bytes(strings, p, (size_t)(g_utf8_next_char(p) - p));
    }
    text_add_bytes(strings, "", 1);
    g_free(valid);
    return start;
}

static PangoContext *new_context(void)
{
    PangoContext *context = pango_font_map_create_context(pango_cairo_font_map_get_default());
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    pango_cairo_context_set_font_options(context, options);
    pango_context_set_round_glyph_positions(context, FALSE);
    pango_context_set_base_dir(context, PANGO_DIRECTION_LTR);
    pango_context_set_language(context, pango_language_from_string("en-gb"));
    cairo_font_options_destroy(options);
    return context;
}

static void add_attribute(PangoAttrList *list, PangoAttribute *attribute, size_t from, size_t to)
{
    attribute->start_index = (guint)from;
    attribute->end_index = (guint)to;
    pango_attr_list_insert(list, attribute);
}

struct emphasis {
    bool strong, italic, soft;
    size_t from;
};

static void end_emphasis(PangoAttrList *list, struct emphasis *emphasis, size_t to, unsigned soft)
{
    if (emphasis->strong)
        add_attribute(list, pango_attr_weight_new(PANGO_WEIGHT_SEMIBOLD), emphasis->from, to);
    if (emphasis->italic)
        add_attribute(list, pango_attr_style_new(PANGO_STYLE_ITALIC), emphasis->from, to);
    if (emphasis->soft)
        add_attribute(list,
                      pango_attr_foreground_new((guint16)((soft >> 16 & 255) * 257),
                                                (guint16)((soft >> 8 & 255) * 257),
                                                (guint16)((soft & 255) * 257)),
                      emphasis->from, to);
    emphasis->from = to;
}

/* Splits text at its emphasis marks; adds what is between them to `plain`, attributes to `list`. */
static void take_emphasis(const char *text, unsigned soft, struct text *plain, PangoAttrList *list)
{
    struct emphasis emphasis = {0};
    struct text run = TEXT_EMPTY;
    while (*text != '\0') {
        size_t n = strcspn(text, LETTERS_STRONG LETTERS_ITALIC LETTERS_SOFT LETTERS_PLAIN "\n");
        run.length = 0;
        text_add_bytes(&run, text, n);
        letters_add_clean(plain, run.s);
        plain->length--; /* its NUL */
        text += n;
        if (*text == '\0')
            break;
        if (*text == '\n') {
            text_add(plain, "\n");
            text++;
            continue;
        }
        end_emphasis(list, &emphasis, plain->length, soft);
        emphasis.strong = *text == *LETTERS_STRONG || (emphasis.strong && *text != *LETTERS_PLAIN);
        emphasis.italic = *text == *LETTERS_ITALIC || (emphasis.italic && *text != *LETTERS_PLAIN);
        emphasis.soft = *text == *LETTERS_SOFT || (emphasis.soft && *text != *LETTERS_PLAIN);
        text++;
    }
    end_emphasis(list, &emphasis, plain->length, soft);
    text_free(&run);
}

PangoLayout *letters_layout(const char *text, double size, bool strong, bool italic, unsigned soft)
{
    PangoContext *context = new_context();
    PangoLayout *layout = pango_layout_new(context);
    g_object_unref(context);

    PangoFontDescription *font = pango_font_description_new();
    pango_font_description_set_family_static(font, "Inter,DejaVu Sans,sans-serif");
    pango_font_description_set_absolute_size(font, size * PANGO_SCALE);
    pango_font_description_set_weight(font, strong ? PANGO_WEIGHT_SEMIBOLD : PANGO_WEIGHT_NORMAL);
    pango_font_description_set_style(font, italic ? PANGO_STYLE_ITALIC : PANGO_STYLE_NORMAL);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);

    struct text plain = TEXT_EMPTY;
    PangoAttrList *list = pango_attr_list_new();
    take_emphasis(text, soft, &plain, list);
    add_attribute(list, pango_attr_font_features_new("tnum=1"), 0, G_MAXUINT);
    pango_layout_set_text(layout, text_string(&plain), (int)plain.length);
    pango_layout_set_attributes(layout, list);
    pango_attr_list_unref(list);
    text_free(&plain);
    return layout;
}
