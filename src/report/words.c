#include "report/words.h"

#include "draw/layout.h"

void words_probability(double probability, char *buffer, size_t size)
{
    if (probability > 0.9995)
        snprintf(buffer, size, "p > 0.999");
    else if (probability < 0.0005)
        snprintf(buffer, size, "p < 0.001");
    else
        snprintf(buffer, size, "p %.3f", probability);
}

static bool fits(const char *line, struct lettering lettering, double width)
{
    return layout_measure(lettering, line).width <= width;
}

static void end_with_dots(char *line, struct lettering lettering, double width)
{
    size_t n = strlen(line);
    do {
        while (n > 0 && ((unsigned char)line[n - 1] & 0xC0) == 0x80)
            n--;
        if (n > 0)
            n--;
        while (n > 0 && line[n - 1] == ' ')
            n--;
        snprintf(line + n, 160 - n, "…");
    } while (n > 0 && !fits(line, lettering, width));
}

int words_lines(const char *words, struct lettering lettering, double width, char lines[][160], int limit)
{
    int count = 0;
    lines[0][0] = '\0';
    for (const char *p = words; *p != '\0';) {
        size_t n = strcspn(p, " ");
        char longer[160];
        int used = snprintf(longer, sizeof longer, "%s%s%.*s", lines[count], lines[count][0] != '\0' ? " " : "", (int)n, p);
        bool whole = used > 0 && (size_t)used < sizeof longer && fits(longer, lettering, width);
        if (!whole && lines[count][0] != '\0') {
            if (count + 1 == limit) {
                snprintf(lines[count] + strlen(lines[count]), 160 - strlen(lines[count]), " …");
                if (!fits(lines[count], lettering, width))
                    end_with_dots(lines[count], lettering, width);
                return limit;
            }
            lines[++count][0] = '\0';
            continue;
        }
        snprintf(lines[count], 160, "%s", longer);
        p += n;
        while (*p == ' ')
            p++;
    }
    return lines[0][0] != '\0' ? count + 1 : 0;
}
