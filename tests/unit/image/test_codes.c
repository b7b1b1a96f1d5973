/* Codes made by encoders that are not ours (qrencode, dmtx-utils), photographed by simulation: turned, shaded, blurred,
 * with noise. Skipped where the encoders are missing. */
#include "check.h"

#include "image/codes.h"
#include "numeric/random.h"

#include <gd.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

static const char *const words[4] = {"ZZZCB99ABCDEFGB3C0000123", "ZZZCB99ABCDEFGB3C0000124", "ZZZCB99ABCDEFGB3D0000007",
                                     "ZZZCB99ABCDEFGB3D0000008"};

/* What a program writes as PNG when it is fed `input`; NULL when there is no such program. */
static gdImagePtr encoded(char *const argv[], const char *input)
{
    int in[2], out[2];
    if (pipe(in) != 0 || pipe(out) != 0)
        return NULL;
    pid_t child = fork();
    if (child == 0) {
        dup2(in[0], STDIN_FILENO);
        dup2(out[1], STDOUT_FILENO);
        close(in[1]);
        close(out[0]);
        execvp(argv[0], argv);
        _exit(127);
    }
    close(in[0]);
    close(out[1]);
    signal(SIGPIPE, SIG_IGN);
    ssize_t written = write(in[1], input, strlen(input));
    close(in[1]);
    FILE *png = fdopen(out[0], "rb");
    gdImagePtr gd = written > 0 ? gdImageCreateFromPng(png) : NULL;
    fclose(png);
    waitpid(child, NULL, 0);
    return gd;
}

static gdImagePtr code_of(int k, bool matrix)
{
    char *const qr[] = {(char[]){"qrencode"}, (char[]){"-s"}, (char[]){"8"}, (char[]){"-o"}, (char[]){"-"}, NULL};
    char *const dm[] = {(char[]){"dmtxwrite"}, (char[]){"-d"}, (char[]){"8"}, NULL};
    return encoded(matrix ? dm : qr, words[k]);
}

/* A photograph of cells with their codes: four on grey wrappers, each turned by its own angle. */
static gdImagePtr photograph(int width, int height, bool matrix, double noise, uint32_t seed)
{
    gdImagePtr photo = gdImageCreateTrueColor(width, height);
    struct random *random = random_new(seed);
    gdImageFilledRectangle(photo, 0, 0, width - 1, height - 1, gdTrueColor(120, 128, 140));
    for (int k = 0; k < 4; k++) {
        gdImagePtr code = code_of(k, matrix);
        if (code == NULL) {
            gdImageDestroy(photo);
            random_free(random);
            return NULL;
        }
        gdImagePaletteToTrueColor(code);
        int side = height / 5, x = (1 + 2 * (k % 2)) * width / 4, y = (1 + 2 * (k / 2)) * height / 4;
        gdImagePtr large = gdImageCreateTrueColor(side, side);
        gdImageCopyResampled(large, code, 0, 0, 0, 0, side, side, gdImageSX(code), gdImageSY(code));
        gdImageFilledRectangle(photo, x - side, y - side, x + side, y + side, gdTrueColor(250, 250, 250));
        gdImageCopyRotated(photo, large, x, y, 0, 0, side, side, 7 + 23 * k);
        gdImageDestroy(code);
        gdImageDestroy(large);
    }
    gdImageGaussianBlur(photo);
    for (int y = 0; y < height; y++) {
        for (int x = 0; x < width; x++) { /* dim towards one corner */
            double light = 1 - 0.6 * x / width * y / height;
            int c = photo->tpixels[y][x], v[3] = {gdTrueColorGetRed(c), gdTrueColorGetGreen(c), gdTrueColorGetBlue(c)};
            double n = noise * random_normal(random);
            for (int j = 0; j < 3; j++)
                v[j] = (int)fmin(fmax(v[j] * light + n, 0), 255);
            photo->tpixels[y][x] = gdTrueColor(v[0], v[1], v[2]);
        }
    }
    random_free(random);
    return photo;
}

static size_t count_found(bool matrix, int width, int height)
{
    gdImagePtr photo = photograph(width, height, matrix, 6, 31);
    if (photo == NULL)
        return SIZE_MAX;
    int n = 0;
    void *jpeg = gdImageJpegPtr(photo, &n, 88);
    gdImageDestroy(photo);
    struct image *image = NULL;
    struct message message;
    struct code codes[16];
    CHECK(image_read("photo.jpg", (struct span){jpeg, (size_t)n}, &image, &message) == STATUS_OK);
    size_t count = codes_find(image, codes, 16), right = 0;
    image_free(image);
    gdFree(jpeg);
    for (int k = 0; k < 4; k++) {
        double x = (1 + 2 * (k % 2)) / 4.0, y = (1 + 2 * (k / 2)) / 4.0;
        for (size_t j = 0; j < count; j++)
            right += strcmp(codes[j].text, words[k]) == 0 && fabs(codes[j].x - x) < 0.06 && fabs(codes[j].y - y) < 0.06 &&
                     codes[j].kind == (matrix ? CODE_DATA_MATRIX : CODE_QR);
    }
    CHECK(count == right); /* nothing is read that is not there, nothing twice */
    return right;
}

TEST(four_qr_codes_in_one_photograph)
{
    size_t count = count_found(false, 2000, 1500);
    if (count == SIZE_MAX)
        SKIP("qrencode is not installed");
    CHECK(count == 4);
}

TEST(four_data_matrix_codes_in_one_photograph)
{
    size_t count = count_found(true, 2000, 1500);
    if (count == SIZE_MAX)
        SKIP("dmtxwrite is not installed");
    CHECK(count == 4);
}

TEST(a_picture_without_codes_has_none)
{
    gdImagePtr gd = gdImageCreateTrueColor(300, 200);
    gdImageFilledRectangle(gd, 20, 30, 120, 150, gdTrueColor(200, 200, 40));
    int n = 0;
    void *png = gdImagePngPtr(gd, &n);
    gdImageDestroy(gd);
    struct image *image = NULL;
    struct message message;
    struct code codes[4];
    CHECK(image_read("plain.png", (struct span){png, (size_t)n}, &image, &message) == STATUS_OK);
    CHECK(codes_find(image, codes, 4) == 0);
    image_free(image);
    gdFree(png);
}
