// Reads two STEP files with the OCCT kernel libraries, an inlay and its host, and says, as
// one line of JSON, how near their flanks come and what volume they have in common.
#include <BRepAlgoAPI_Common.hxx>
#include <BRepBndLib.hxx>
#include <BRepExtrema_DistShapeShape.hxx>
#include <BRepGProp.hxx>
#include <BRep_Builder.hxx>
#include <Bnd_Box.hxx>
#include <GProp_GProps.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <STEPControl_Reader.hxx>
#include <StepRepr_RepresentationItem.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <TopoDS_Face.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>

#include <algorithm>
#include <cstdio>
#include <string>
#include <vector>

namespace {

// Flanks farther apart than this face something else, mm.
constexpr double kFacing = 1.0;

struct Flank {
  TopoDS_Face face;
  Bnd_Box box;
};

struct Body {
  TopoDS_Shape shape;
  std::vector<Flank> flanks;
};

bool read(const char *path, Body &body) {
  STEPControl_Reader reader;
  if (reader.ReadFile(path) != IFSelect_RetDone || reader.TransferRoots() < 1) {
    return false;
  }
  body.shape = reader.OneShape();
  const Handle(XSControl_TransferReader) transfer = reader.WS()->TransferReader();
  for (TopExp_Explorer at(body.shape, TopAbs_FACE); at.More(); at.Next()) {
    const auto item = Handle(StepRepr_RepresentationItem)::DownCast(
        transfer->EntityFromShapeResult(at.Current(), 1));
    if (item.IsNull() || item->Name().IsNull()) {
      continue;
    }
    const std::string name = item->Name()->ToCString();
    if (name == "flank" || name == "ceiling") {
      Flank flank{TopoDS::Face(at.Current()), Bnd_Box()};
      BRepBndLib::Add(flank.face, flank.box);
      body.flanks.push_back(flank);
    }
  }
  return true;
}

// Flanks above which the kernel's booleans take minutes; the common volume is left to the
// check by triangles then.
constexpr size_t kCommon = 500;

// Flanks that are looked at of such an inlay: patterns repeat, and flanks that are no elementary
// surface take the kernel some 50 ms a pair.
constexpr size_t kLookedAt = 64;

// Pairs whose boxes lie farther apart than what was found already are passed over.
double least(const Body &inlay, const Body &host) {
  double found = kFacing;
  const size_t count = inlay.flanks.size();
  const size_t stride = count > kCommon ? count / kLookedAt : 1;
  for (size_t number = 0; number < inlay.flanks.size(); number += stride) {
    const Flank &a = inlay.flanks[number];
    for (const Flank &b : host.flanks) {
      if (a.box.Distance(b.box) < found) {
        const BRepExtrema_DistShapeShape distance(a.face, b.face);
        found = std::min(found, distance.IsDone() ? distance.Value() : -1.0);
      }
    }
  }
  return found;
}

double common(const Body &inlay, const Body &host) {
  BRepAlgoAPI_Common both(inlay.shape, host.shape);
  if (!both.IsDone()) {
    return -1.0;
  }
  double volume = 0.0;
  for (TopExp_Explorer at(both.Shape(), TopAbs_SOLID); at.More(); at.Next()) {
    GProp_GProps properties;
    BRepGProp::VolumeProperties(at.Current(), properties);
    volume += properties.Mass();
  }
  return volume;
}

}  // namespace

int main(int, char **paths) {
  Message::DefaultMessenger()->ChangePrinters().Clear();
  Body inlay;
  Body host;
  if (!read(paths[1], inlay) || !read(paths[2], host)) {
    return 1;
  }
  std::printf("{\"flanks\": [%zu, %zu], \"least_mm\": %.9f, ", inlay.flanks.size(),
              host.flanks.size(), least(inlay, host));
  if (inlay.flanks.size() > kCommon) {
    std::printf("\"common_mm3\": null}\n");
  } else {
    std::printf("\"common_mm3\": %.9f}\n", common(inlay, host));
  }
}
