package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.List;
import org.whinograph.spectrum.Spectrogram;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.speed.SpeedResult;
import org.whinograph.tone.ToneResult;

/**
 * Says where each tone comes from. Three kinds of evidence are weighed, and each is told with its
 * figures: whether the frequency is a whole multiple of the shaft's, and how often an unrelated
 * line would be as near to one; whether it moves as the speed moves; and what else is there, such
 * as the rest of a mains family or a mirror image about a carrier.
 *
 * <p>One judge looks for each kind of cause, over the same measurements; the order of the judges is
 * that of the strength of their evidence. What the evidence doesn't settle is {@link
 * Cause#UNKNOWN}.
 */
final class ToneOrigins {
  private ToneOrigins() {}

  /**
   * Judges all tones of a recording.
   *
   * @param tones the tones
   * @param spectrum the spectrum that they come from, or null if there is none
   * @param speed the shaft's speed
   * @param tracks the peaks of the frames of that spectrum
   * @param followed what the second pass has found; empty lists if there was none
   * @param spectrogram the spectra through time, handed on
   * @return the result
   */
  static OrderResult judge(
      ToneResult tones,
      Spectrum spectrum,
      SpeedResult speed,
      LineTracks tracks,
      Followed followed,
      Spectrogram.Columns spectrogram) {
    ToneView view = new ToneView(tones.tones(), spectrum, speed, tracks, followed.sweep());
    Verdicts verdicts = new Verdicts(view.size());
    NeighbourFan neighbour = new NeighbourFan(view, followed.bins());
    TwoFans apart = null;
    if (view.motion() == null) {
      new MainsJudge(view, verdicts).judgeOpen();
    } else {
      apart = judge(view, verdicts, neighbour, followed.levels());
    }
    new OpenJudge(view, verdicts).judgeOpen();
    new SameLines(view, verdicts).judge();
    List<FollowingTone> following = new ArrayList<>();
    for (int i = 0; i < view.size(); i++) {
      following.add(following(view, verdicts, followed.bins(), i));
    }
    return new OrderResult(
        verdicts.origins(),
        following,
        new FollowedJudge(view, verdicts, new MotorEvidence(view, followed.levels()))
            .orders(followed.bins()),
        neighbour.found() || apart == null
            ? Beats.of(view, verdicts, neighbour, followed.envelope())
            : apart,
        Beats.explained(view, verdicts, followed.envelope()),
        followed.sweep(),
        spectrogram);
  }

  /** Names the causes; returns a second fan too far off for a beat, or null. */
  private static TwoFans judge(
      ToneView view, Verdicts verdicts, NeighbourFan neighbour, List<SpeedLevels> levels) {
    new OrderJudge(view, verdicts).judgeOpen();
    if (view.spectrum() != null) {
      new PassingJudge(view, verdicts, levels).judgeOpen();
    }
    new MainsJudge(view, verdicts).judgeOpen();
    DriveJudge drive = new DriveJudge(view, verdicts);
    drive.judgeSidebands();
    CommonMotion common = new CommonMotion(view);
    SecondFanJudge second = new SecondFanJudge(view, verdicts, neighbour, common);
    second.judgeOpen();
    drive.judgeOpen();
    new FixedJudge(view, verdicts, common).judgeOpen();
    new ResonanceJudge(view, verdicts).judgeOpen();
    new LoadJudge(view, verdicts).judge();
    new MotorJudge(view, verdicts, new MotorEvidence(view, levels)).judge();
    return second.fan();
  }

  private static FollowingTone following(
      ToneView view, Verdicts verdicts, List<SpeedBin> bins, int i) {
    if (view.motion() == null) {
      return FollowingTone.unknown("no speed is known that a spectrum could follow");
    }
    if (!verdicts.ofTheFan(i)) {
      return FollowingTone.unknown("the tone isn't known to be an order of the shaft");
    }
    if (bins.isEmpty()) {
      return FollowingTone.unknown(
          "a spectrum that follows the speed needs the samples twice, or more than 2 s of one"
              + " speed");
    }
    return FollowingTone.of(bins, verdicts.multiple(i), view.tone(i).frequencyHz());
  }
}
