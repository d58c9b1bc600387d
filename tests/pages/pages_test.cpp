#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "strapline/coaching/wording.hpp"
#include "strapline/coaching/wording_judgement.hpp"

#include "browser.hpp"
#include "made_up_sets.hpp"

namespace strapline::pages {
namespace {

using nlohmann::json;
using ::testing::Each;
using ::testing::ElementsAre;
using ::testing::Gt;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t n = 0;
  for (std::size_t at = 0; (at = text.find(what, at)) != std::string::npos; ++at) ++n;
  return n;
}

json data_of(const std::string& page) {
  const std::string open = "id=\"data\">";
  const auto from = page.find(open) + open.size();
  return json::parse(page.substr(from, page.find("</script>", from) - from), nullptr, false);
}

TEST(Pages, AreWholeInThemselves) {
  for (const std::string& page :
       {review_page(made_up_review()), compare_page(made_up_comparison())}) {
    EXPECT_THAT(page, HasSubstr("var uPlot=function()"));
    EXPECT_THAT(page,
                HasSubstr("Permission is hereby granted, free of charge"));  // uPlot's licence
    EXPECT_THAT(page, HasSubstr("default-src 'none'"));
    EXPECT_THAT(page, Not(HasSubstr("{{")));
    EXPECT_THAT(page, Not(HasSubstr(" src=\"")));
    EXPECT_THAT(page, Not(HasSubstr("<link")));
    EXPECT_THAT(page, Not(HasSubstr("@import")));
    EXPECT_EQ(count(page, "<script"), 3u);
    EXPECT_EQ(count(page, "</script"), 3u);
  }
}

TEST(Pages, TextOfUsersStaysText) {
  ReviewPageInput input = made_up_review();
  input.description.client = "medic <b>& \"co\"</b> {{SCRIPT}}";
  const std::string page = review_page(input);
  EXPECT_THAT(
      page,
      HasSubstr("<title>Squat – medic &lt;b&gt;&amp; &quot;co&quot;&lt;/b&gt; {{SCRIPT}}</title>"));
  EXPECT_EQ(count(page, "<script"), 3u);
  const json data = data_of(page);
  ASSERT_FALSE(data.is_discarded());
  EXPECT_EQ(data["client_notes"], kHostileNote);
}

TEST(Pages, InvalidUtf8IsReplacedNotFatal) {
  ReviewPageInput input = made_up_review();
  input.description.notes = "caf\xe9";
  EXPECT_EQ(data_of(review_page(input))["client_notes"], "caf\xEF\xBF\xBD");
}

TEST(ReviewPage, NumbersAreTheAnalysisInDisplayUnits) {
  const json data = data_of(review_page(made_up_review()));
  EXPECT_EQ(data["reps"].size(), 6u);
  EXPECT_EQ(data["reps"][3]["label"], "part");
  EXPECT_EQ(data["reps"][5]["label"], "5");
  EXPECT_EQ(data["rows"][0]["name"], "thigh_depth_left");
  EXPECT_EQ(data["rows"][0]["cells"][0]["value"], "3.0°");
  EXPECT_EQ(data["rows"][0]["cells"][0]["u"], "± 2.4°");
  // Mean of the five full reps only: 3, 2, 1, −1, −2.
  EXPECT_EQ(data["rows"][0]["mean"]["value"], "0.6°");
  EXPECT_EQ(data["plots"][0]["base"], "thigh_depth") << "the trace of the reps comes first";
  EXPECT_EQ(data["plots"][0]["series"].size(), 2u) << "left and right, not their mean as well";
  EXPECT_EQ(data["plots"].size(), 4u);
}

TEST(ReviewPage, NotMeasuredIsSaidOnceAndIsNoRow) {
  const json data = data_of(review_page(made_up_review()));
  ASSERT_EQ(data["not_measured"].size(), 2u);
  EXPECT_EQ(data["not_measured"][0]["measures"], "trunk lean (rep 3)");
  EXPECT_EQ(data["not_measured"][1]["measures"], "knee travel, left; knee travel, right");
  for (const json& row : data["rows"]) EXPECT_THAT(row["name"], Not(HasSubstr("knee_travel")));
}

TEST(ReviewPage, UnloggedIsSaidAndPainIsHeeded) {
  ReviewPageInput input = made_up_review();
  json data = data_of(review_page(input));
  EXPECT_EQ(data["facts"][6]["label"], "pain");
  EXPECT_EQ(data["facts"][6]["value"], "not logged");
  EXPECT_EQ(data["pain"], "");
  input.description.pain = 2;
  input.description.pain_place = "left knee";
  data = data_of(review_page(input));
  EXPECT_EQ(data["facts"][6]["value"], "pain 2/10, left knee");
  EXPECT_THAT(data["pain"], HasSubstr("licensed professional"));
}

/// The made-up set against a built-in aim, with two cautions.
ReviewPageInput made_up_judged_review() {
  ReviewPageInput input = made_up_review();
  coaching::JudgedSet set;
  set.movement = "squat";
  set.with.load_kg = input.description.load_kg;
  set.reps = input.analysis.reps;
  input.aim = coaching::judge_set(coaching::load_aim("squat_below_parallel").value(), set);
  coaching::CautionInput caution;
  caution.set.movement = "squat";
  caution.set.load_kg = input.description.load_kg;
  caution.set.pain = input.description.pain = 3.0;
  caution.limits.load_kg["squat"] = 60.0;
  caution.limits.pain = input.pain_limit = 2.0;
  input.cautions_seen = coaching::find_cautions(caution);
  return input;
}

TEST(ReviewPage, JudgementIsInTheWordsOfTheFindings) {
  const ReviewPageInput input = made_up_judged_review();
  const json data = data_of(review_page(input));
  const json& aim = data["aim"];
  EXPECT_EQ(aim["words"], coaching::say_judgement(*input.aim));
  EXPECT_EQ(aim["verdict"]["words"], coaching::verdict_name(input.aim->verdict));
  ASSERT_EQ(aim["measures"].size(), input.aim->measures.size());
  for (std::size_t i = 0; i < aim["measures"].size(); ++i) {
    const coaching::MeasureJudgement& judged = input.aim->measures[i];
    EXPECT_EQ(aim["measures"][i]["name"], judged.measure);
    ASSERT_EQ(aim["measures"][i]["cells"].size(), 5u) << "the part rep is not judged";
    EXPECT_EQ(aim["measures"][i]["cells"][0]["words"], coaching::rep_cell(judged.reps[0]));
  }
  EXPECT_EQ(aim["reps"][4]["label"], "5");
  ASSERT_EQ(data["seen"].size(), 1u) << "the pain heads the page";
  EXPECT_THAT(data["seen"][0]["words"], HasSubstr("The load was 62.5 kg"));
  EXPECT_THAT(data["pain"], HasSubstr("licensed professional"));
}

TEST(ReviewPage, WithoutAnAimItSaysWhy) {
  ReviewPageInput input = made_up_review();
  input.no_aim = "medic has no active aim for squat.";
  EXPECT_EQ(data_of(review_page(input))["aim"], json({{"none", input.no_aim}, {"variation", ""}}));
}

TEST(ReviewPage, LongRecordingsAreThinnedForThePlot) {
  ReviewPageInput input = made_up_review();
  input.analysis.t = Eigen::VectorXd::LinSpaced(40000, 0, 400);
  for (dsp::Trace& trace : input.analysis.traces) trace.value = Eigen::VectorXd::Zero(40000);
  const json data = data_of(review_page(input));
  EXPECT_LE(data["t"].size(), 6000u);
  EXPECT_EQ(data["t"].size(), data["plots"][0]["series"][0]["values"].size());
}

TEST(ReviewPageInBrowser, ShowsRepsZoomsByKeyboardAndLoadsNothing) {
  if (const std::string reason = no_browser_because(); !reason.empty()) GTEST_SKIP() << reason;
  const json seen = open_in_browser(review_page(made_up_review()), "review");
  ASSERT_TRUE(seen.is_object());
  EXPECT_THAT(seen["console"], IsEmpty());
  EXPECT_THAT(seen["requests"].get<std::vector<std::string>>(),
              Each(::testing::StartsWith("file:///")));
  EXPECT_EQ(seen["requests"].size(), 3u) << "one per visit: the page itself";
  for (const char* view : {"desktop", "phone", "dark"}) {
    SCOPED_TRACE(view);
    const json& page = seen[view];
    EXPECT_EQ(page["bands"], json({6, 6, 6, 6}));
    EXPECT_EQ(page["part_bands"], json({1, 1, 1, 1}));
    EXPECT_THAT(page["band_widths"].get<std::vector<double>>(), Each(Gt(5.0)));
    EXPECT_EQ(page["closed_figures"], 1) << "trunk lean waits behind 'more traces'";
    EXPECT_EQ(page["rep_columns"], 6);
    EXPECT_EQ(page["measure_rows"], 12);
    EXPECT_EQ(page["drawn"], 4);
    EXPECT_LE(page["scroll_width"], page["width"]) << "the body scrolls sideways";
    EXPECT_GE(page["least_contrast"], 4.5) << "WCAG 2.1 AA, text";
    EXPECT_EQ(page["broken"], 0);
    EXPECT_EQ(page["images"], 0);
    EXPECT_EQ(page["unnamed_buttons"], 0);
    for (const char* words :
         {"Stop on pain", "licensed professional", "Local rules come first", "Competition rules",
          "not logged", "needs the length of the foot", "one standard uncertainty"}) {
      EXPECT_THAT(page["text"].get<std::string>(), HasSubstr(words));
    }
  }
  // By keyboard to rep 1, which runs from 5.0 s to 8.9 s; half a second is shown on either side.
  const json& keyboard = seen["desktop"]["keyboard"];
  ASSERT_EQ(keyboard["zoomed"].size(), 4u) << "all plots, also those opened later";
  for (const json& range : keyboard["zoomed"]) {
    EXPECT_NEAR(range[0].get<double>(), 4.5, 1e-6);
    EXPECT_NEAR(range[1].get<double>(), 9.4, 1e-6);
  }
  EXPECT_EQ(keyboard["pressed"][0], "false");
  EXPECT_EQ(keyboard["pressed"][1], "true");
}

TEST(ReviewPageInBrowser, ShowsTheAimAndTheCautionsApart) {
  if (const std::string reason = no_browser_because(); !reason.empty()) GTEST_SKIP() << reason;
  const json seen = open_in_browser(review_page(made_up_judged_review()), "review-aim");
  ASSERT_TRUE(seen.is_object());
  EXPECT_THAT(seen["console"], IsEmpty());
  for (const char* view : {"desktop", "phone", "dark"}) {
    SCOPED_TRACE(view);
    const json& page = seen[view];
    EXPECT_LE(page["scroll_width"], page["width"]) << "the body scrolls sideways";
    EXPECT_GE(page["least_contrast"], 4.5);
    for (const char* words :
         {"Aim: Squat below parallel", "not met", "Matters most for this aim", "at least 10.0°",
          "under", "too close to call", "Seen in this set, whatever the aim",
          "the greatest agreed for this movement is 60 kg", "agreed with the client", "Not judged",
          "needs the length of the foot"}) {
      EXPECT_THAT(page["text"].get<std::string>(), HasSubstr(words));
    }
  }
}

TEST(ReviewPageInBrowser, ASetWithoutRepsOrTracesIsShownToo) {
  if (const std::string reason = no_browser_because(); !reason.empty()) GTEST_SKIP() << reason;
  ReviewPageInput input = made_up_review();
  input.analysis = dsp::SetAnalysis();
  const json seen = open_in_browser(review_page(input), "review-empty");
  ASSERT_TRUE(seen.is_object());
  EXPECT_THAT(seen["console"], IsEmpty());
  EXPECT_THAT(seen["phone"]["text"].get<std::string>(), HasSubstr("No rep was found"));
  EXPECT_THAT(seen["phone"]["text"].get<std::string>(), HasSubstr("Stop on pain"));
}

TEST(ComparePage, SaysWhatTheFindingsSay) {
  const ComparePageInput input = made_up_comparison();
  const json data = data_of(compare_page(input));
  ASSERT_EQ(data["measures"].size(), input.comparison.findings.size());
  for (std::size_t i = 0; i < data["measures"].size(); ++i) {
    const coaching::MeasureFinding& finding = input.comparison.findings[i];
    EXPECT_EQ(data["measures"][i]["words"], coaching::say_change(finding));
    EXPECT_EQ(data["measures"][i]["verdict"], coaching::verdict_name(finding.change->verdict));
    EXPECT_EQ(data["measures"][i]["points"].size(), 9u) << "the front squat is not among them";
  }
  EXPECT_EQ(data["sets"].size(), 10u);
  EXPECT_EQ(data["sets"][4]["compared"], false);
  EXPECT_THAT(data["missing"][0], HasSubstr("trunk lean: not measured, needs a chest strap"));
}

TEST(ComparePageInBrowser, ShowsEveryMeasureWithItsLoads) {
  if (const std::string reason = no_browser_because(); !reason.empty()) GTEST_SKIP() << reason;
  const json seen = open_in_browser(compare_page(made_up_comparison()), "compare");
  ASSERT_TRUE(seen.is_object());
  EXPECT_THAT(seen["console"], IsEmpty());
  EXPECT_EQ(seen["requests"].size(), 3u);
  for (const char* view : {"desktop", "phone", "dark"}) {
    SCOPED_TRACE(view);
    const json& page = seen[view];
    EXPECT_EQ(page["summary_rows"], 4);
    EXPECT_EQ(page["set_rows"], 10);
    EXPECT_EQ(page["figures"], 8) << "a plot and its loads for each measure";
    EXPECT_EQ(page["drawn"], 8);
    EXPECT_EQ(page["closed_figures"], 6) << "only the measure that changed is open";
    EXPECT_EQ(page["reaches"].size(), 4u);
    EXPECT_THAT(page["reaches"].get<std::vector<double>>(), Each(Gt(10.0)));
    EXPECT_EQ(page["verdicts"], json({"changed", "unchanged", "cannot tell yet", "unchanged"}));
    EXPECT_LE(page["scroll_width"], page["width"]) << "the body scrolls sideways";
    EXPECT_GE(page["least_contrast"], 4.5);
    for (const char* words :
         {"variation 'front' instead of 'box'", "Stop on pain", "Pain was logged",
          "needs a chest strap", "a week over 9 sets", "about 0.2 changed"}) {
      EXPECT_THAT(page["text"].get<std::string>(), HasSubstr(words));
    }
  }
}

TEST(ComparePageInBrowser, ASingleSetIsShownWithoutAVerdict) {
  if (const std::string reason = no_browser_because(); !reason.empty()) GTEST_SKIP() << reason;
  ComparePageInput input = made_up_comparison();
  coaching::ComparedSet only = input.comparison.sets.front();
  only.load_kg.reset();
  input.comparison = coaching::compare_sets({only}, {}).value();
  const json seen = open_in_browser(compare_page(input), "compare-single");
  ASSERT_TRUE(seen.is_object());
  EXPECT_THAT(seen["console"], IsEmpty());
  EXPECT_THAT(seen["phone"]["verdicts"], IsEmpty());
  EXPECT_THAT(seen["phone"]["text"].get<std::string>(), HasSubstr("nothing to compare it with"));
}

}  // namespace
}  // namespace strapline::pages
